"""Where along a river a place lies: its river station, in miles above the mouth."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from registry.errors import RangeError
from registry.records.geodesy import LocalPlane, geodesics_m
from registry.records.places import LonLat

type FloatArray = NDArray[np.float64]
type IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Centreline:
    """A stretch of a river's centreline, drawn in either direction.

    ``gauge`` names the gauge whose stages tell how high it stands. ``lon_lat_deg`` (v, 2) are its
    corners; ``first_mi`` and ``last_mi`` the river stations of the first and the last of them, in
    miles above the mouth.
    """

    gauge: str
    river: str
    lon_lat_deg: FloatArray
    first_mi: float
    last_mi: float


@dataclass(frozen=True, slots=True)
class Stationed:
    """The nearest stretch of places, -1 for none near; their station [mi] and distance from it."""

    line: IntArray
    station_mi: FloatArray
    offset_m: FloatArray


def along_m(lon_lat_deg: FloatArray) -> FloatArray:
    """Return how far each corner of a line lies from its first, (v,). [m, on the ellipsoid]."""
    a, b = lon_lat_deg[:-1], lon_lat_deg[1:]
    return np.concatenate(([0.0], np.cumsum(geodesics_m(a[:, 0], a[:, 1], b[:, 0], b[:, 1]))))


def stationed(lines: Sequence[Centreline], lon_lat_deg: FloatArray, farthest_m: float) -> Stationed:
    """Return the river stations of places, each on the nearest stretch.

    The foot of the shortest way to the line has the station that lies as far between those of the
    line's ends as the foot lies along the line, measured on the ellipsoid.

    Parameters
    ----------
    lines
        Centrelines.
    lon_lat_deg
        Places, (n, 2).
    farthest_m
        Places farther from every line have no station. [m]

    Raises
    ------
    RangeError
        If a line has fewer than two different corners.
    """
    count = len(lon_lat_deg)
    none = Stationed(np.full(count, -1), np.full(count, np.nan), np.full(count, np.nan))
    if not lines or not count:
        return none
    pieces = [_pieces(number, line) for number, line in enumerate(lines)]
    ends = np.concatenate([piece.ends_deg for piece in pieces])
    line_of = np.concatenate([piece.line for piece in pieces])
    station = np.concatenate([piece.station_mi for piece in pieces])
    plane = LocalPlane(LonLat(*ends.reshape(-1, 2).mean(axis=0)))
    drawn = np.asarray(shapely.linestrings(plane.metres(ends.reshape(-1, 2)).reshape(ends.shape)))
    points = shapely.points(plane.metres(lon_lat_deg))
    nearest = shapely.STRtree(drawn).nearest(points)
    share = shapely.line_locate_point(drawn[nearest], points, normalized=True)
    feet = ends[nearest, 0] + share[:, None] * (ends[nearest, 1] - ends[nearest, 0])
    offset_m = geodesics_m(lon_lat_deg[:, 0], lon_lat_deg[:, 1], feet[:, 0], feet[:, 1])
    near = offset_m <= farthest_m
    at_mi = station[nearest, 0] + share * (station[nearest, 1] - station[nearest, 0])
    return Stationed(np.where(near, line_of[nearest], -1), np.where(near, at_mi, np.nan), offset_m)


@dataclass(frozen=True, slots=True)
class _Pieces:
    """The straight pieces of a line: their ends (p, 2, 2) and the stations of both (p, 2)."""

    ends_deg: FloatArray
    line: IntArray
    station_mi: FloatArray


def _pieces(number: int, line: Centreline) -> _Pieces:
    corners = line.lon_lat_deg
    far_m = along_m(corners)
    if far_m[-1] <= 0:
        raise RangeError(f"the centreline of {line.river} has no length: give at least two places")
    station = line.first_mi + (line.last_mi - line.first_mi) * far_m / far_m[-1]
    ends = np.stack([corners[:-1], corners[1:]], axis=1)
    return _Pieces(ends, np.full(len(ends), number), np.stack([station[:-1], station[1:]], axis=1))
