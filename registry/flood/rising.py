"""A series of stages in time: when it reaches a stage, and for how long it stands above it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from registry.errors import RangeError

type FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageSeries:
    """Stages of one gauge in time, straight lines between them; made by ``series_of``.

    ``at_s`` (t,) are rising moments in seconds of one clock, ``stage_ft`` (t,) the stages.
    """

    at_s: FloatArray
    stage_ft: FloatArray

    def first_reached_s(self, stages_ft: ArrayLike) -> FloatArray:
        """Return the first moment at which each stage is reached, NaN if the series never does.

        Parameters
        ----------
        stages_ft
            Stages, (n,). [ft]
        """
        wanted = np.asarray(stages_ft, np.float64)
        highest = np.maximum.accumulate(self.stage_ft)  # rises, so that it can be searched
        after = np.searchsorted(highest, wanted, "left")
        to = np.minimum(after, len(highest) - 1)
        before = np.maximum(to - 1, 0)
        rise_ft = self.stage_ft[to] - self.stage_ft[before]
        share = np.ones_like(wanted)
        np.divide(wanted - self.stage_ft[before], rise_ft, out=share, where=rise_ft > 0)
        began_s = self.at_s[before]
        moment = np.where(after == 0, self.at_s[0], began_s + share * (self.at_s[to] - began_s))
        return np.where((after == len(highest)) | np.isnan(wanted), np.nan, moment)

    def spans_above(self, stage_ft: float) -> list[tuple[float, float]]:
        """Return from when to when the water stands at a stage or above it, in order.

        Parameters
        ----------
        stage_ft
            Stage. [ft]

        Returns
        -------
        list
            Pairs of moments [s]; the first may begin and the last may end with the series, which
            says nothing of before or after.
        """
        above = self.stage_ft >= stage_ft
        spans, began = [], float(self.at_s[0]) if above[0] else None
        for i in np.nonzero(above[1:] != above[:-1])[0]:
            rise = self.stage_ft[i + 1] - self.stage_ft[i]
            share = (stage_ft - self.stage_ft[i]) / rise
            moment = float(self.at_s[i] + share * (self.at_s[i + 1] - self.at_s[i]))
            if began is None:
                began = moment
            else:
                spans.append((began, moment))
                began = None
        if began is not None:
            spans.append((began, float(self.at_s[-1])))
        return spans


def series_of(at_s: ArrayLike, stages_ft: ArrayLike) -> StageSeries:
    """Return a series from moments and stages in any order.

    Raises
    ------
    RangeError
        If there is none, a value is no number, or a moment is given twice.
    """
    moments, stages = np.asarray(at_s, np.float64), np.asarray(stages_ft, np.float64)
    if len(moments) == 0:
        raise RangeError("a forecast needs at least one stage")
    if not (np.isfinite(moments) & np.isfinite(stages)).all():
        raise RangeError("a moment or a stage is no number: give both")
    order = np.argsort(moments, kind="stable")
    if (np.diff(moments[order]) == 0).any():
        raise RangeError("a moment has two stages: give one")
    return StageSeries(at_s=moments[order], stage_ft=stages[order])
