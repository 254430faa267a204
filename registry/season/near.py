"""Which stops are near which: lists of neighbours, however many stops there are.

Distances are seconds of driving. The shortest tour through n points spread evenly over an area A is
0.7124 √(n A), hence 0.7124 / √density from stop to stop, where the density is that around the stop:
Beardwood, Halton and Hammersley, "The shortest path through many points", Proc. Cambridge
Philosophical Society 55, 1959; the constant is Johnson, McGeoch and Rothberg, "Asymptotic
experimental analysis for the Held-Karp traveling salesman bound", SODA 1996. The density around a
stop is read off its nearest stops: the k-th of points spread evenly lies Γ(k + 1/2) / (Γ(k) √π) of
1/√density away (Clark and Evans, "Distance to nearest neighbor as a measure of spatial
relationships in populations", Ecology 35, 1954, for the first; Thompson, Ecology 37, 1956, for
all).

Five are looked at, about as many as one person visits in a day: with two, threes that lie far
apart from each other would look near. The first count most, since jobs of one site are one stop.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gamma, pi, sqrt

import numpy as np
import numpy.typing as npt

from registry.records.places import LonLat
from registry.units import EARTH_RADIUS_M

TOUR_CONSTANT = 0.7124
WEIGHTS = (0.4, 0.25, 0.15, 0.1, 0.1)
"""How much the nearest counts, the second, and so on; common practice of our own, no source."""
EVEN = tuple(gamma(k + 0.5) / (gamma(k) * sqrt(pi)) for k in range(1, len(WEIGHTS) + 1))
TOUR_FACTOR = TOUR_CONSTANT / sum(one * far for one, far in zip(WEIGHTS, EVEN, strict=True))
MOST_NEIGHBOURS = 160
"""Three times the weeks of a year: even if all are spread evenly, some fall into the same week."""
BLOCK = 512
"""Points whose ways to all others are held at once."""

type Floats = npt.NDArray[np.float64]
type Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Near:
    """Neighbours of n points, each list by distance; one of i's neighbours has i among its own.

    Those of point i stand in ``points`` and ``drive_s`` from ``begins[i]`` to ``begins[i + 1]``.
    ``yard_s`` is the way to the yard and back, the most that a neighbour can be worth, shape (n,).
    Ways to another site hold the minutes of arriving there; points of one site lie at 0.
    """

    begins: Ints
    points: npt.NDArray[np.int32]
    drive_s: npt.NDArray[np.float32]
    yard_s: npt.NDArray[np.float32]

    def of(self, point: int) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.float32]]:
        """Return the neighbours of a point and how far they are."""
        own = slice(int(self.begins[point]), int(self.begins[point + 1]))
        return self.points[own], self.drive_s[own]


def near_on_plane(
    xy_s: Floats,
    sites: Ints,
    fleets: Ints,
    yard_s: Floats,
    arrive_s: float,
    most: int = MOST_NEIGHBOURS,
) -> Near:
    """Return the neighbours of points on a plane.

    Parameters
    ----------
    xy_s
        Where the points lie, in seconds of driving, shape (n, 2).
    sites, fleets
        To which site each belongs, and which people go there; shape (n,). Points are near only
        within a fleet.
    yard_s
        From where people start to each point, one way, shape (n,).
    arrive_s
        What each stop takes once, on top of the way. [s]
    most
        How many neighbours are looked at.
    """
    first: list[Ints] = []
    second: list[Ints] = []
    for fleet in np.unique(fleets):
        own = np.flatnonzero(fleets == fleet)
        if len(own) > 1:
            found = nearest(xy_s[own], min(most + 1, len(own)))
            first.append(np.repeat(own, len(found.T)))
            second.append(own[found.ravel()])
    i = np.concatenate(first) if first else np.zeros(0, np.int64)
    j = np.concatenate(second) if second else np.zeros(0, np.int64)
    way_s = np.linalg.norm(xy_s[i] - xy_s[j], axis=1)
    return _lists(i, j, way_s, sites, yard_s, arrive_s)


def nearest(xy_s: Floats, count: int) -> Ints:
    """Return for each point of a plane the ``count`` nearest, itself among them, unordered.

    Looked at in blocks of points, so that the table of ways stays small: shape (n, count).
    """
    n = len(xy_s)
    found = np.empty((n, count), np.int64)
    for begin in range(0, n, BLOCK):
        block = xy_s[begin : begin + BLOCK]
        way_s = np.hypot(block[:, :1] - xy_s[:, 0], block[:, 1:] - xy_s[:, 1])
        found[begin : begin + BLOCK] = np.argpartition(way_s, count - 1, axis=1)[:, :count]
    return found


def near_by_roads(
    travel_s: Floats,
    rows: Ints,
    sites: Ints,
    fleets: Ints,
    yard_s: Floats,
    arrive_s: float,
    most: int = MOST_NEIGHBOURS,
) -> Near:
    """Return the neighbours of points whose travel times are known, shape (m, m), nan = no road.

    ``rows`` says which row of the table each point is; the mean of both directions counts.
    """
    both = (travel_s + travel_s.T) / 2
    way = np.where(np.isnan(both), np.inf, both)[np.ix_(rows, rows)]
    way[fleets[:, None] != fleets] = np.inf
    np.fill_diagonal(way, np.inf)
    n = len(rows)
    count = min(most, n - 1)
    found = (
        np.argpartition(way, count - 1, axis=1)[:, :count] if count > 0 else np.zeros((n, 0), int)
    )
    i, j = np.repeat(np.arange(n), found.shape[1]), found.ravel()
    return _lists(i, j, way[i, j], sites, yard_s, arrive_s)


def _lists(i: Ints, j: Ints, way_s: Floats, sites: Ints, yard_s: Floats, arrive_s: float) -> Near:
    """Return pairs as lists; each pair counts for both of its points."""
    n = len(yard_s)
    there_and_back = 2 * yard_s + arrive_s
    far_s = np.where(sites[i] == sites[j], 0.0, way_s + arrive_s)
    useful = (i != j) & (far_s < np.maximum(there_and_back[i], there_and_back[j]))
    i, j, far_s = i[useful], j[useful], far_s[useful]
    pair = np.minimum(i, j) * n + np.maximum(i, j)
    _, at = np.unique(pair, return_index=True)
    low, high, far_s = np.minimum(i, j)[at], np.maximum(i, j)[at], far_s[at]
    i, j, far_s = np.r_[low, high], np.r_[high, low], np.r_[far_s, far_s]
    order = np.lexsort((j, far_s, i))
    begins = np.zeros(n + 1, np.int64)
    np.cumsum(np.bincount(i, minlength=n), out=begins[1:])
    return Near(
        begins=begins,
        points=j[order].astype(np.int32),
        drive_s=far_s[order].astype(np.float32),
        yard_s=there_and_back.astype(np.float32),
    )


def plane_m(places: Sequence[LonLat]) -> Floats:
    """Return places on a plane that is true at their middle, shape (n, 2). [m].

    One county is small enough: 60 km from the middle, ways are wrong by less than 1 %.
    """
    lon, lat = np.radians(np.array(places, dtype=np.float64).reshape(-1, 2)).T
    middle = float(lat.mean()) if len(lat) else 0.0
    return EARTH_RADIUS_M * np.column_stack((lon * np.cos(middle), lat))


def spread_drive_s(xy_s: Floats, stops: float) -> float:
    """Return the drive from stop to stop where some stops lie evenly over the area of all points.

    By the law above; the area is that of the smallest box around nine points in ten each way, in
    square seconds of driving, so that few outlying sites do not count. [s]
    """
    if len(xy_s) < 2 or stops <= 0:
        return 0.0
    low, high = np.quantile(xy_s, [0.05, 0.95], axis=0)
    area = float(np.prod(high - low)) / 0.9**2
    return TOUR_CONSTANT * float((area / stops) ** 0.5)
