"""Putting places on the nearest stretch of road, in a plane laid at the middle of the network."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from registry.errors import RoadError
from registry.records.places import LonLat
from registry.roads.arrays import Flags, Floats, Ints
from registry.roads.graph import Graph
from registry.roads.plane import plane_of
from registry.roads.snapping import DETOUR_M, gap_warning


@dataclass(frozen=True, slots=True, eq=False)
class Snaps:
    """Where n places were put: stretch, share along it, metres off the road; (n,) each."""

    stretch: Ints
    along_share: Floats
    snap_m: Floats
    warnings: tuple[str, ...]


class Nearest:
    """Finds the nearest stretch of a graph; lengths in a plane, equidistant from its middle."""

    def __init__(self, graph: Graph) -> None:
        self._to_plane = plane_of(graph.shape)
        xy = np.column_stack(self._to_plane.transform(graph.shape[:, 0], graph.shape[:, 1]))
        of_line = np.repeat(np.arange(len(graph.start)), np.diff(graph.first))
        self._lines = np.asarray(shapely.linestrings(xy, indices=of_line))
        self._all = shapely.STRtree(self._lines)
        self._joined = np.flatnonzero(graph.joined)
        self._joined_tree = shapely.STRtree(self._lines[self._joined])

    def put(self, places: Sequence[LonLat]) -> Snaps:
        """Put each place on the nearest stretch.

        A place whose nearest stretch isn't joined to the rest of the network is put on the joined
        network if that is hardly farther (a gap in the map, as between a drive and its street);
        else it stays where it stands, from where no road may lead on.

        Raises
        ------
        RoadError
            If a position is not a finite number.
        """
        points = self._points(places)
        stretch, snap_m = _nearest(self._all, points)
        warnings: list[str] = []
        if len(self._joined):
            other, other_m = _nearest(self._joined_tree, points)
            moved: Flags = (other_m - snap_m <= DETOUR_M) & ~np.isin(stretch, self._joined)
            stretch = np.where(moved, self._joined[other], stretch)
            snap_m = np.where(moved, other_m, snap_m)
            put_over = np.flatnonzero(moved).tolist()
            warnings = [gap_warning(i, places[i], snap_m[i]) for i in put_over]
        along = shapely.line_locate_point(self._lines[stretch], points, normalized=True)
        return Snaps(stretch, along, snap_m, tuple(warnings))

    def piece(self, stretch: int, from_share: float, to_share: float) -> list[LonLat]:
        """Return the points of a piece of a stretch, backwards where it ends before it begins."""
        from shapely.ops import substring

        piece = substring(self._lines[stretch], from_share, to_share, normalized=True)
        x, y = np.array(piece.coords).T
        lon, lat = self._to_plane.transform(x, y, direction="INVERSE")
        return [LonLat(round(a, 7), round(b, 7)) for a, b in zip(lon, lat, strict=True)]

    def _points(self, places: Sequence[LonLat]) -> npt.NDArray[np.object_]:
        lon_lat = lon_lat_array(places)
        x, y = self._to_plane.transform(lon_lat[:, 0], lon_lat[:, 1])
        return np.asarray(shapely.points(x, y))


def lon_lat_array(places: Sequence[LonLat]) -> Floats:
    """Return places as an array of shape (n, 2).

    Raises
    ------
    RoadError
        If a position is not a finite number within the degrees of the earth.
    """
    array = np.array(places, np.float64).reshape(-1, 2)
    good = np.isfinite(array).all(axis=1) & (np.abs(array) <= (180, 90)).all(axis=1)
    if not good.all():
        bad = ", ".join(str(i + 1) for i in np.flatnonzero(~good).tolist())
        raise RoadError(
            f"Place {bad} has no usable position (longitude −180 to 180, latitude −90 to 90). "
            "Locate it first."
        )
    return array


def _nearest(tree: shapely.STRtree, points: npt.NDArray[np.object_]) -> tuple[Ints, Floats]:
    found, distance_m = tree.query_nearest(points, return_distance=True, all_matches=False)
    return np.asarray(found[1], np.int64), distance_m
