"""A pump's curve: head against flow, between the points that its maker prints."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.ranges import FloatArray, Numbers, need_zero_or_more


@dataclass(frozen=True, slots=True)
class PumpCurve:
    """Head that a pump gives at each flow.

    Parameters
    ----------
    points
        (flow [US gal/min], head [ft]) by rising flow, at least two; the head never rises with the
        flow.

    Raises
    ------
    RangeError
        If there are fewer than two points, the flow does not rise or the head rises.

    References
    ----------
    Between points a monotone cubic with the slopes of F. N. Fritsch and J. Butland, SIAM J. Sci.
    Stat. Comput. 5 (1984) 300-304 (from memory; tested against SciPy's PchipInterpolator), so that
    the curve never rises between two points. Beyond the last point it goes on straight.
    """

    points: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        flow, head = self.flows_gpm, self.heads_ft
        if len(self.points) < 2:
            raise RangeError("a pump curve has two points at least: give flow and head of each")
        need_zero_or_more(pump_flow_gpm=flow, pump_head_ft=head)
        if np.any(np.diff(flow) <= 0):
            raise RangeError("the flows of a pump curve must rise from point to point: sort them")
        if np.any(np.diff(head) > 0):
            raise RangeError(
                "the head of a pump curve must not rise with the flow: check the pairs"
            )

    @property
    def flows_gpm(self) -> FloatArray:
        """Return the flows of the points, (n,)."""
        return np.array([flow for flow, _ in self.points], float)

    @property
    def heads_ft(self) -> FloatArray:
        """Return the heads of the points, (n,)."""
        return np.array([head for _, head in self.points], float)

    @property
    def last_flow_gpm(self) -> float:
        """Return the greatest flow that the curve was given for."""
        return self.points[-1][0]

    def head_ft(self, flow_gpm: Numbers) -> FloatArray:
        """Return the head at flows of any shape."""
        return self.head_and_slope(flow_gpm)[0]

    def head_and_slope(self, flow_gpm: Numbers) -> tuple[FloatArray, FloatArray]:
        """Return head [ft] and its change with flow [ft per US gal/min] at flows of any shape."""
        x, y = self.flows_gpm, self.heads_ft
        slopes = _slopes(x, y)
        flow = np.asarray(flow_gpm, float)
        k = np.clip(np.searchsorted(x, flow, side="right") - 1, 0, len(x) - 2)
        width = x[k + 1] - x[k]
        t = np.clip((flow - x[k]) / width, 0.0, 1.0)
        rise, left, right = (y[k + 1] - y[k]) / width, slopes[k], slopes[k + 1]
        bend, twist = 3 * rise - 2 * left - right, left + right - 2 * rise
        head = y[k] + width * t * (left + t * (bend + t * twist))
        slope = left + t * (2 * bend + 3 * t * twist)
        outside = flow - np.clip(flow, x[0], x[-1])
        return head + outside * slope, slope


def pump_curve(points: Iterable[tuple[float, float]]) -> PumpCurve:
    """Return a curve from pairs of flow [US gal/min] and head [ft], in any order.

    Raises
    ------
    RangeError
        As for `PumpCurve`.
    """
    return PumpCurve(tuple(sorted((float(flow), float(head)) for flow, head in points)))


def _slopes(x: FloatArray, y: FloatArray) -> FloatArray:
    """Return the slope at each point: weighted harmonic means, 0 where the curve turns."""
    widths, rises = np.diff(x), np.diff(y) / np.diff(x)
    slopes = np.empty_like(x)
    for i, ((w0, w1), (r0, r1)) in enumerate(
        zip(pairwise(widths), pairwise(rises), strict=True), 1
    ):
        near, far = 2 * w1 + w0, w1 + 2 * w0
        slopes[i] = 0.0 if r0 * r1 <= 0 else (near + far) / (near / r0 + far / r1)
    slopes[0] = _end_slope(widths, rises) if len(x) > 2 else rises[0]
    slopes[-1] = _end_slope(widths[::-1], rises[::-1]) if len(x) > 2 else rises[0]
    return slopes


def _end_slope(widths: FloatArray, rises: FloatArray) -> float:
    """Return the slope at an end by three points, kept from turning the curve."""
    slope = ((2 * widths[0] + widths[1]) * rises[0] - widths[0] * rises[1]) / (
        widths[0] + widths[1]
    )
    if slope * rises[0] <= 0:
        return 0.0
    return float(slope if abs(slope) <= 3 * abs(rises[0]) else 3 * rises[0])
