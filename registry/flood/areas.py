"""Which flood areas hold which places, and how near their edges are: many places at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from registry.records.flood import FloodArea
from registry.records.geodesy import geodesics_m, metres_per_degree
from registry.records.places import Box

type FloatArray = NDArray[np.float64]
type IntArray = NDArray[np.int64]
type BoolArray = NDArray[np.bool_]
type Shapes = NDArray[np.object_]


@dataclass(frozen=True)
class Outlines:
    """The outlines of a layer of flood areas, looked at once and asked often.

    An outline that is missing, empty, not an area or crosses itself says nothing certain. It is
    left out of every answer, and no place that it may hold passes as outside (`may_hold`).
    """

    areas: Sequence[FloodArea]

    @cached_property
    def shapes(self) -> Shapes:
        """Return the geometries, (m,)."""
        shapes = np.empty(len(self.areas), dtype=object)
        shapes[:] = [area.geometry for area in self.areas]
        return shapes

    @cached_property
    def is_sound(self) -> BoolArray:
        """Return which geometries can be relied on, (m,)."""
        kinds = shapely.get_type_id(self.shapes)
        is_area = np.isin(kinds, (shapely.GeometryType.POLYGON, shapely.GeometryType.MULTIPOLYGON))
        return is_area & ~shapely.is_empty(self.shapes) & shapely.is_valid(self.shapes)

    @cached_property
    def extent(self) -> Box | None:
        """Return the box around the layer, None for a layer without any outline."""
        bounds = shapely.total_bounds(self.shapes) if len(self.areas) else np.array([np.nan])
        return Box(*(float(v) for v in bounds)) if np.isfinite(bounds).all() else None

    def may_hold(self, lon_lat_deg: FloatArray) -> BoolArray:
        """Return which places an unsound outline may hold, (n,): those in its box, or all."""
        doubtful = np.zeros(len(lon_lat_deg), dtype=bool)
        for shape in self.shapes[~self.is_sound]:
            corners = shapely.get_coordinates(shape)
            if not len(corners) or not np.isfinite(corners).all():
                return np.ones(len(lon_lat_deg), dtype=bool)
            low, high = corners.min(axis=0), corners.max(axis=0)
            doubtful |= ((lon_lat_deg >= low) & (lon_lat_deg <= high)).all(axis=1)
        return doubtful


def areas_at(lon_lat_deg: FloatArray, outlines: Outlines) -> IntArray:
    """Return which areas hold which places; a place on an edge counts as inside.

    Edges are straight between longitudes and latitudes, as in a database's planar geometry.

    Parameters
    ----------
    lon_lat_deg
        Longitude and latitude of the places, (n, 2); NaN = no position. [deg]
    outlines
        The areas.

    Returns
    -------
    (k, 2) array
        Pairs of place and area, as indices, sorted.
    """
    where = _located(lon_lat_deg)
    which = np.flatnonzero(outlines.is_sound)
    if not len(where) or not len(which):
        return np.empty((0, 2), dtype=np.int64)
    area, place = _tree(lon_lat_deg[where]).query(outlines.shapes[which], predicate="intersects")
    pairs = np.column_stack((where[place], which[area]))
    return pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]


def edge_distances_m(lon_lat_deg: FloatArray, outlines: Outlines, within_m: float) -> FloatArray:
    """Return how far the nearest edge of a special flood hazard area is, where it is near.

    Every such area's own edge counts, also where two of them meet.

    Parameters
    ----------
    lon_lat_deg
        Longitude and latitude of the places, (n, 2); NaN = no position. [deg]
    outlines
        The areas; only those with ``sfha`` true have edges that count.
    within_m
        How far to look. [m]

    Returns
    -------
    (n,) array
        Length along the ellipsoid, NaN where no edge is within reach. [m]
    """
    distance_m = np.full(len(lon_lat_deg), np.nan)
    is_hazard = np.array([area.sfha is True for area in outlines.areas], dtype=bool)
    which = np.flatnonzero(is_hazard & outlines.is_sound) if len(is_hazard) else np.empty(0, int)
    where = _located(lon_lat_deg)
    if not len(where) or not len(which):
        return distance_m
    edges = np.asarray(shapely.boundary(outlines.shapes[which]), dtype=object)
    south_deg, north_deg = np.clip(shapely.bounds(edges)[:, [1, 3]].T, -89.0, 89.0)
    # A degree of longitude is the shorter one: so many of them reach at least as far north.
    per_degree = np.minimum(metres_per_degree(south_deg)[0], metres_per_degree(north_deg)[0])
    edge, place = _tree(lon_lat_deg[where]).query(
        edges, predicate="dwithin", distance=1.01 * within_m / per_degree
    )
    here_deg = lon_lat_deg[where[place]]
    there_deg = _feet_deg(here_deg, edges, edge, (south_deg + north_deg) / 2)
    lengths_m = geodesics_m(here_deg[:, 0], here_deg[:, 1], there_deg[:, 0], there_deg[:, 1])
    near = lengths_m <= within_m
    order = np.argsort(-lengths_m[near])  # the nearest is written last and stays
    distance_m[where[place][near][order]] = lengths_m[near][order]
    return distance_m


def _located(lon_lat_deg: FloatArray) -> IntArray:
    """Return the indices of the places that have a position."""
    return np.flatnonzero(np.isfinite(lon_lat_deg.reshape(-1, 2)).all(axis=1))


def _tree(lon_lat_deg: FloatArray) -> shapely.STRtree:
    """Return a search tree of places."""
    return shapely.STRtree(np.asarray(shapely.points(lon_lat_deg), dtype=object))


def _feet_deg(
    here_deg: FloatArray, edges: Shapes, edge: IntArray, middle_deg: FloatArray
) -> FloatArray:
    """Return the point of an edge that is nearest to a place, for pairs of both, (k, 2).

    Nearest in degrees is not nearest on the ground, so each edge is first stretched to metres by
    its middle latitude. For an area half a degree high that is right to 0.4 % of the length.
    """
    scale = np.column_stack(metres_per_degree(middle_deg))
    used, of_used = np.unique(edge, return_inverse=True)
    coordinates, owner = shapely.get_coordinates(edges[used], return_index=True)
    stretched = shapely.set_coordinates(edges[used], coordinates * scale[used][owner])
    lines = shapely.shortest_line(shapely.points(here_deg * scale[edge]), stretched[of_used])
    feet: FloatArray = shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 1] / scale[edge]
    return feet
