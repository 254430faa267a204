"""A piece of a road by its name, from one cross street or position to another."""

from difflib import get_close_matches

import numpy as np
import numpy.typing as npt
import shapely

from registry.errors import NotFoundError, RangeError
from registry.records.places import LonLat
from registry.records.roads import NamedStretch
from registry.roads.arrays import Flags, Floats, Ints
from registry.roads.closing import piece_lengths_m
from registry.roads.graph import Graph
from registry.roads.plane import plane_of
from registry.roads.road_facts import as_name
from registry.roads.searches import first_arcs, quickest
from registry.roads.stretches import Stretches

type Lines = shapely.MultiLineString

FARTHEST_M = 300.0
"""A position farther than this from the road is not on it."""
OTHER_SIDE_M = 30.0
"""The other carriageway of a divided road lies at most so far from the one that was followed."""
DIGITS = 7


def named_stretch(graph: Graph, stretches: Stretches, wanted: NamedStretch) -> Lines:
    """Return the lines of a road by name, or of the shortest piece of it between two places.

    Parameters
    ----------
    graph, stretches
        The network.
    wanted
        The road's name or number, and where the piece begins and ends: a cross street by name, or a
        position; both or neither.

    Raises
    ------
    NotFoundError
        If there is no such road, a cross street does not meet it, a position is not on it, or the
        road does not lead from one to the other.
    RangeError
        If only one end is given.
    """
    name = as_name(wanted.road)
    own = stretches.named(name)
    if not own.any():
        raise NotFoundError(_unknown(stretches, wanted.road, name))
    if bool(wanted.begins) != bool(wanted.ends):
        raise RangeError("Say where the closed stretch begins and where it ends, or neither.")
    pieces = _pieces_of(graph, own)
    if not wanted.begins:
        return _lines(graph, pieces)
    vertex = _vertices(graph)
    begins = _ends(graph, stretches, own, vertex, wanted, wanted.begins)
    ends = _ends(graph, stretches, own, vertex, wanted, wanted.ends)
    path = _shortest(graph, pieces, vertex, begins, ends)
    if not len(path):
        raise NotFoundError(
            f"{wanted.road} does not lead from {wanted.begins} to {wanted.ends}. Choose two "
            "different places on it, or draw the closure."
        )
    return _lines(graph, _with_other_side(graph, pieces, path))


def _unknown(stretches: Stretches, said: str, name: str) -> str:
    known = sorted({one for names in stretches.said_names.tolist() for one in names.split(";")})
    near = [one.title() for one in get_close_matches(name, known, 3, 0.6) if one]
    hint = f" Did you mean {' or '.join(near)}?" if near else ""
    return f"No road of the imported network is called “{said[:60]}”.{hint} Or draw the closure."


def _pieces_of(graph: Graph, own: Flags) -> Ints:
    first = graph.first
    spans = [np.arange(first[i], first[i + 1] - 1) for i in np.flatnonzero(own).tolist()]
    return np.concatenate(spans)


def _vertices(graph: Graph) -> Ints:
    """Return a number for each point of shape, (p,): the junction's, or one of its own."""
    vertex = graph.junctions + np.arange(len(graph.shape))
    vertex[graph.first[:-1]] = graph.start
    vertex[graph.first[1:] - 1] = graph.end
    return vertex


def _ends(
    graph: Graph,
    stretches: Stretches,
    own: Flags,
    vertex: Ints,
    wanted: NamedStretch,
    place: str,
) -> Ints:
    """Return the vertices of the road that a place means."""
    at = _position(place)
    if at is not None:
        return np.array([_vertex_near(graph, own, vertex, at, wanted.road)])
    name = as_name(place)
    other = stretches.named(name)
    if not other.any():
        raise NotFoundError(_unknown(stretches, place, name))
    meets = np.intersect1d(
        np.concatenate([graph.start[own], graph.end[own]]),
        np.concatenate([graph.start[other], graph.end[other]]),
    )
    if not len(meets):
        raise NotFoundError(
            f"{place} does not meet {wanted.road}. Name a cross street or a position."
        )
    return np.asarray(meets, np.int64)


def _position(text: str) -> LonLat | None:
    lon, _, lat = text.partition(",")
    try:
        at = LonLat(float(lon), float(lat))
    except ValueError:
        return None
    return at if abs(at.lon) <= 180 and abs(at.lat) <= 90 else None


def _vertex_near(graph: Graph, own: Flags, vertex: Ints, at: LonLat, road: str) -> int:
    points = np.flatnonzero(np.repeat(own, np.diff(graph.first)))
    plane = plane_of(np.array([at, at], np.float64))
    x, y = plane.transform(graph.shape[points, 0], graph.shape[points, 1])
    away_m: Floats = np.hypot(x, y)
    if away_m.min() > FARTHEST_M:
        raise NotFoundError(
            f"{at.lon:.5f}, {at.lat:.5f} lies {away_m.min():,.0f} m from {road}. Give a position "
            "on the road."
        )
    return int(vertex[points[away_m.argmin()]])


def _shortest(graph: Graph, pieces: Ints, vertex: Ints, begins: Ints, ends: Ints) -> Ints:
    """Return the pieces of the shortest way along the road, whichever way round it is driven."""
    known, at = np.unique(vertex[np.concatenate([pieces, pieces + 1])], return_inverse=True)
    a, b = at[: len(pieces)], at[len(pieces) :]
    source, target = np.concatenate([a, b]), np.concatenate([b, a])
    order = np.argsort(source, kind="stable")
    first, target = first_arcs(len(known), source[order]), target[order]
    length_m = np.tile(piece_lengths_m(graph)[pieces], 2)[order]
    to = np.searchsorted(known, ends)
    best_m, steps = np.inf, set[tuple[int, int]]()
    for start in np.searchsorted(known, begins).tolist():
        away_m, before = np.empty(len(known)), np.empty(len(known), np.int64)
        quickest(first, target, length_m, start, away_m, before)
        reached_m = np.where(to == start, np.inf, away_m[to])
        if reached_m.min() < best_m:
            best_m = float(reached_m.min())
            steps = _steps(before, int(to[reached_m.argmin()]))
    on = [pair in steps for pair in zip(np.minimum(a, b), np.maximum(a, b), strict=True)]
    return np.asarray(pieces[np.array(on, bool)], np.int64)


def _steps(before: Ints, node: int) -> set[tuple[int, int]]:
    """Return the pairs of nodes, the lower one first, on the way that leads to a node."""
    steps = set()
    while (back := int(before[node])) >= 0:
        steps.add((min(node, back), max(node, back)))
        node = back
    return steps


def _with_other_side(graph: Graph, pieces: Ints, path: Ints) -> Ints:
    """Return the path and what runs beside it under the same name, as a divided road does."""
    plane = plane_of(graph.shape[path])

    def flat(some: Ints) -> npt.NDArray[np.object_]:
        points = np.column_stack([some, some + 1]).ravel()
        xy = np.column_stack(plane.transform(graph.shape[points, 0], graph.shape[points, 1]))
        return np.asarray(shapely.linestrings(xy.reshape(-1, 2, 2)))

    band = shapely.buffer(shapely.union_all(flat(path)), OTHER_SIDE_M, cap_style="flat")
    lines = flat(pieces)
    beside = shapely.length(shapely.intersection(lines, band)) > 0.75 * shapely.length(lines)
    return np.asarray(np.union1d(path, pieces[beside]), np.int64)


def _lines(graph: Graph, pieces: Ints) -> Lines:
    points = np.column_stack([pieces, pieces + 1]).ravel()
    ends = np.round(graph.shape[points], DIGITS).reshape(-1, 2, 2)
    merged = shapely.line_merge(shapely.union_all(shapely.linestrings(ends)))
    return shapely.MultiLineString(shapely.get_parts(merged).tolist())
