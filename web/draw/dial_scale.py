"""How far out a distance lies on a pace dial, and where its rings stand."""

import math
from dataclasses import dataclass
from statistics import median

_ROUND_FT = (5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000)
_UNEVEN_FT = (5, 10, 25, 50, 100, 200, 400, 800, 1600, 3200)
_UNEVEN_FROM = 6.0
"""The furthest part this many times as far as the middle one: even rings would heap up the rest."""
_RING_GAP = 26.0


@dataclass(frozen=True, slots=True)
class DialScale:
    """Distances into pixels: even (``power`` 1), or by the square root where one lies far off."""

    radius: float
    most_ft: float
    power: float
    rings_ft: tuple[float, ...]

    @property
    def is_even(self) -> bool:
        """Whether the rings stand evenly apart."""
        return self.power == 1

    def reach(self, distance_ft: float) -> float:
        """Return how far from the middle a distance lies. [px]."""
        return self.radius * math.pow(max(distance_ft, 0.0) / self.most_ft, self.power)

    def place(self, bearing_deg: float, distance_ft: float) -> tuple[float, float]:
        """Return right and down from the middle, with true north up."""
        turn, reach = math.radians(bearing_deg), self.reach(distance_ft)
        return reach * math.sin(turn), -reach * math.cos(turn)


def dial_scale(distances_ft: list[float], radius: float) -> DialScale:
    """Return the scale that shows all distances, with three to five rings where they are even."""
    furthest = max(distances_ft, default=0.0)
    if furthest > _UNEVEN_FROM * max(median(distances_ft or [1.0]), 1.0):
        most = next((ft for ft in _UNEVEN_FT if ft >= furthest), furthest)
        bare = DialScale(radius, most, 0.5, ())
        rings: list[float] = [most]
        for ft in reversed(_UNEVEN_FT):
            if ft < most and bare.reach(rings[-1]) - bare.reach(ft) >= _RING_GAP:
                rings.append(ft)
        return DialScale(radius, most, 0.5, tuple(reversed(rings)))
    step = next((ft for ft in _ROUND_FT if furthest <= 5 * ft), furthest / 4)
    count = max(math.ceil(furthest / step - 1e-9), 2)
    return DialScale(radius, count * step, 1.0, tuple(step * n for n in range(1, count + 1)))
