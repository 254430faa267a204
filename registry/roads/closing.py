"""Which pieces of a road network a closure closes.

A piece leads from one point of a stretch's shape to the next; piece k begins at point k.

- An area closes every piece that runs through it.
- A line closes the roads that it crosses away from a junction, and those that it runs along: as
  people draw it across a road, and as road authorities publish it along one.
- With a road's name, only the pieces of that road are closed.
"""

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from registry.records.closures import Closure
from registry.roads.arrays import Flags, Floats, Ints
from registry.roads.graph import Graph
from registry.roads.plane import plane_of
from registry.roads.road_facts import as_name
from registry.roads.stretches import Stretches

BESIDE_M = 10.0
"""A line that runs along a road lies at most so far from it; our estimate, a road's half width and
the miss of a hand."""
ALONG_M = 40.0
"""It runs along from this length on, or from three quarters of a shorter stretch: a line along one
road must not close the streets that branch off it."""
ALONG_SHARE = 0.75
JUNCTION_M = 15.0
"""A crossing nearer than this to the end of a stretch is taken for the junction's, and closes
nothing, for it can't be told which of the roads is meant; or a quarter of a short stretch."""
JUNCTION_SHARE = 0.25
HALF = 0.5
DEG_MARGIN = 0.002
"""Pieces are looked for in the shape's box and so much around it, far more than ``BESIDE_M``."""

type Shapes = npt.NDArray[np.object_]


def closed_pieces(graph: Graph, stretches: Stretches, closure: Closure) -> Ints:
    """Return the numbers of the pieces that a closure closes, in order; empty where none is."""
    shape = closure.shape
    if not isinstance(shape, BaseGeometry) or shape.is_empty:
        return np.empty(0, np.int64)
    piece, stretch = _pieces_near(graph, shape)
    if closure.road:
        own = stretches.named(as_name(closure.road))[stretch]
        piece, stretch = piece[own], stretch[own]
    if not len(piece):
        return piece
    plane = plane_of(np.array(shape.bounds, np.float64).reshape(2, 2))
    points = np.column_stack([piece, piece + 1]).ravel()
    xy = np.column_stack(plane.transform(graph.shape[points, 0], graph.shape[points, 1]))
    lines: Shapes = np.asarray(shapely.linestrings(xy.reshape(-1, 2, 2)))
    flat = shapely.transform(
        shape, lambda deg: np.column_stack(plane.transform(deg[:, 0], deg[:, 1]))
    )
    closed = np.zeros(len(piece), bool)
    for part in shapely.get_parts(flat, return_index=False):
        if part.geom_type == "Polygon":
            closed |= _within(lines, part)
        elif closure.road:
            closed |= _beside_m(lines, part) >= HALF * shapely.length(lines)
        elif part.geom_type == "LineString":
            closed |= _crossed(lines, part, graph, piece, stretch)
            closed |= _along(lines, part, graph, stretch)
    return piece[closed]


def piece_lengths_m(graph: Graph) -> Floats:
    """Return the length of each piece, (p,), 0 for the last point of a stretch, which has none."""
    from pyproj import Geod

    lon, lat = graph.shape.T
    _, _, length_m = Geod(ellps="WGS84").inv(lon[:-1], lat[:-1], lon[1:], lat[1:])
    lengths = np.append(np.asarray(length_m, np.float64), 0.0)
    lengths[graph.first[1:] - 1] = 0.0
    return lengths


def _pieces_near(graph: Graph, shape: BaseGeometry) -> tuple[Ints, Ints]:
    """Return the pieces whose box meets the shape's, and the stretch of each."""
    west, south, east, north = shape.bounds
    a, b = graph.shape[:-1], graph.shape[1:]
    low, high = np.minimum(a, b), np.maximum(a, b)
    meets = (low <= (east + DEG_MARGIN, north + DEG_MARGIN)).all(axis=1)
    meets &= (high >= (west - DEG_MARGIN, south - DEG_MARGIN)).all(axis=1)
    meets[graph.first[1:-1] - 1] = False  # from the last point of one stretch to the next one
    piece = np.flatnonzero(meets)
    return piece, np.searchsorted(graph.first, piece, side="right") - 1


def _within(lines: Shapes, area: BaseGeometry) -> Flags:
    inside_m = shapely.length(shapely.intersection(lines, area))
    return np.asarray(inside_m >= np.minimum(1.0, HALF * shapely.length(lines)))


def _beside_m(lines: Shapes, line: BaseGeometry) -> Floats:
    beside = shapely.buffer(line, BESIDE_M, cap_style="flat")
    return np.asarray(shapely.length(shapely.intersection(lines, beside)), np.float64)


def _along(lines: Shapes, line: BaseGeometry, graph: Graph, stretch: Ints) -> Flags:
    beside_m = _beside_m(lines, line)
    of_stretch_m = np.bincount(stretch, beside_m, minlength=len(graph.start))
    along = of_stretch_m >= np.minimum(ALONG_M, ALONG_SHARE * graph.length_m)
    mostly = beside_m >= np.minimum(ALONG_M, HALF * shapely.length(lines))
    return np.asarray(along[stretch] & mostly & (beside_m > 0))


def _crossed(lines: Shapes, line: BaseGeometry, graph: Graph, piece: Ints, stretch: Ints) -> Flags:
    """Return which pieces the line crosses, away from the ends of their stretch."""
    met = shapely.crosses(lines, line) | shapely.touches(lines, line)
    found = np.zeros(len(lines), bool)
    if not met.any():
        return found
    before_m = np.concatenate([[0.0], np.cumsum(piece_lengths_m(graph))])
    for i in np.flatnonzero(met).tolist():
        at, whole_m = stretch[i], graph.length_m[stretch[i]]
        points = shapely.points(shapely.get_coordinates(shapely.intersection(lines[i], line)))
        along_m = shapely.line_locate_point(lines[i], points) + (
            before_m[piece[i]] - before_m[graph.first[at]]
        )
        clear_m = min(JUNCTION_M, JUNCTION_SHARE * float(whole_m))
        found[i] = bool(((along_m >= clear_m) & (along_m <= whole_m - clear_m)).any())
    return found
