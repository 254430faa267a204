"""A road network without some of its pieces: what is closed cannot be driven, nor stood on."""

import numpy as np

from registry.errors import RoadError
from registry.roads.arrays import Flags, Floats, Ints
from registry.roads.closing import piece_lengths_m
from registry.roads.graph import Graph


def without(graph: Graph, pieces: Ints) -> Graph:
    """Return a graph without the pieces; what is left of a stretch ends where it is cut.

    Junctions keep their numbers, those at cuts come after them. Time and length of what is left go
    by its share of the whole. ``joined`` stays as it was, so that a place behind a closure
    counts as cut off, not as standing beside another road.

    Raises
    ------
    RoadError
        If no piece is left.
    """
    if not len(pieces):
        return graph
    is_point_last = np.zeros(len(graph.shape), bool)
    is_point_last[graph.first[1:] - 1] = True
    is_open = ~is_point_last
    is_open[pieces] = False
    if not is_open.any():
        raise RoadError("Every road of the network is closed. Lift a closure.")
    point = np.flatnonzero(is_open)
    stretch = np.searchsorted(graph.first, point, side="right") - 1
    opens = np.concatenate([[True], (np.diff(point) > 1) | (np.diff(stretch) > 0)])
    begin = np.flatnonzero(opens)
    last = np.append(begin[1:], len(point)) - 1
    from_point, to_point, of = point[begin], point[last] + 1, stretch[begin]
    lengths = piece_lengths_m(graph)
    share = np.add.reduceat(lengths[point], begin) / _sum_by(lengths, graph.first)[of]
    start, end, places = _ends(graph, of, from_point, to_point)
    points = to_point - from_point + 1
    first = np.concatenate([[0], np.cumsum(points)])
    return Graph(
        lon_lat_deg=places,
        start=start,
        end=end,
        length_m=graph.length_m[of] * share,
        drive_s=graph.drive_s[of] * share,
        forward=graph.forward[of],
        backward=graph.backward[of],
        last_leg=graph.last_leg[of],
        joined=graph.joined[of],
        shape=graph.shape[np.repeat(from_point - first[:-1], points) + np.arange(first[-1])],
        first=first,
    )


def _sum_by(lengths: Floats, first: Ints) -> Floats:
    return np.add.reduceat(lengths, first[:-1])


def _ends(graph: Graph, of: Ints, from_point: Ints, to_point: Ints) -> tuple[Ints, Ints, Floats]:
    """Return both ends of what is left of each stretch, and the places of all junctions."""
    cut_before: Flags = from_point > graph.first[of]
    cut_after: Flags = to_point < graph.first[of + 1] - 1
    fresh = np.concatenate([from_point[cut_before], to_point[cut_after]])
    start, end = graph.start[of].copy(), graph.end[of].copy()
    numbers = graph.junctions + np.arange(len(fresh))
    start[cut_before] = numbers[: int(cut_before.sum())]
    end[cut_after] = numbers[int(cut_before.sum()) :]
    return start, end, np.concatenate([graph.lon_lat_deg, graph.shape[fresh]])
