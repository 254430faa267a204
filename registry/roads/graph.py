"""A road network as arrays: junctions, the stretches between them, and their shapes."""

import zipfile
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np

from registry.errors import RoadError
from registry.roads.arrays import Flags, Floats, Ints
from registry.roads.osm_file import Ways
from registry.roads.stretches import Stretches

JUNCTION_S = 2.0
"""Time lost where three or more roads meet; our estimate, set so that trips agree with OSRM's."""
KM_H_PER_M_S = 3.6
MEETING = 3
"""A meeting has at least this many stretches; two are a road that goes on."""


@dataclass(frozen=True, slots=True, eq=False)
class Graph:
    """j junctions and s stretches of road between them, with p points of shape.

    ``start`` and ``end`` (s,) are junctions; ``length_m`` and ``drive_s`` (s,) hold for either
    direction; ``forward``, ``backward`` (s,) say which directions may be driven, ``last_leg`` (s,)
    whether only to or from a place on it. Stretch i has the points
    ``shape[first[i]:first[i + 1]]``, longitude and latitude. ``joined`` (s,) says whether both ends
    belong to the largest part in which every junction can be reached from every other.
    """

    lon_lat_deg: Floats
    start: Ints
    end: Ints
    length_m: Floats
    drive_s: Floats
    forward: Flags
    backward: Flags
    last_leg: Flags
    joined: Flags
    shape: Floats
    first: Ints

    @property
    def junctions(self) -> int:
        """How many junctions there are."""
        return len(self.lon_lat_deg)

    def parts(self) -> Ints:
        """Return, of shape (j,), the strongly connected part each junction belongs to."""
        return _parts(self.junctions, self.start, self.end, self.forward, self.backward)

    def joined_share(self) -> float:
        """Return the share of the junctions that lie in the largest part, 0 to 1."""
        return float(np.bincount(self.parts()).max() / self.junctions)

    def save(self, path: Path) -> None:
        """Write the graph to an .npz file."""
        np.savez_compressed(path, **{one.name: getattr(self, one.name) for one in fields(self)})

    @classmethod
    def load(cls, path: Path) -> "Graph":
        """Read a graph that was saved.

        Raises
        ------
        RoadError
            If the file is missing or damaged.
        """
        try:
            with path.open("rb") as stream, np.load(stream) as kept:
                return cls(**{one.name: kept[one.name] for one in fields(cls)})
        except (OSError, EOFError, KeyError, ValueError, zipfile.BadZipFile) as wrong:
            raise RoadError(
                f"The road network in {path.parent} is damaged ({wrong}). Import the roads again."
            ) from wrong


def build_graph(ways: Ways, *, every_node: bool = False) -> Graph:
    """Return the graph of ``build_roads`` alone."""
    return build_roads(ways, every_node=every_node)[0]


def build_roads(ways: Ways, *, every_node: bool = False) -> tuple[Graph, Stretches]:
    """Cut the ways at their junctions and measure the stretches between.

    Parameters
    ----------
    ways
        The drivable ways of a file.
    every_node
        Make a junction of every node, also of those that only give a road its shape.

    Returns
    -------
    tuple
        The graph, with lengths measured on the WGS 84 ellipsoid, and what is known of each stretch.

    Raises
    ------
    RoadError
        If no stretch of road is left, because the file lacks the nodes of its ways.
    """
    place = np.searchsorted(ways.node_ids, ways.refs).clip(max=len(ways.node_ids) - 1)
    there = ways.node_ids[place] == ways.refs
    way = np.repeat(np.arange(len(ways.forward)), np.diff(ways.first))
    leads_on = (way[:-1] == way[1:]) & there[:-1] & there[1:]  # from reference i to i + 1
    leads_on &= place[:-1] != place[1:]
    if not leads_on.any():
        raise RoadError(
            "The file lacks the nodes of its ways, so that no stretch of road is left. "
            "Make the extract again so that ways are complete."
        )
    begins = np.concatenate([[True], ~leads_on])
    ends = np.concatenate([~leads_on, [True]])
    used = np.bincount(place[there], minlength=len(ways.node_ids))
    cut = begins | ends | (used[place] > 1) | every_node
    steps = np.flatnonzero(leads_on)
    opens = cut[steps]  # whether a step is the first of its stretch
    stretch_first = np.flatnonzero(opens)
    stretch_last = np.append(stretch_first[1:], len(steps)) - 1
    from_ref, to_ref = steps[stretch_first], steps[stretch_last] + 1
    length_m = np.add.reduceat(_step_lengths_m(ways, place, steps), stretch_first)
    points = to_ref - from_ref + 1
    first = np.concatenate([[0], np.cumsum(points)])
    of_point = np.repeat(from_ref - first[:-1], points) + np.arange(first[-1])
    shape = np.column_stack([ways.lon_deg[place[of_point]], ways.lat_deg[place[of_point]]])
    of_way = way[from_ref]
    nodes, ends_at = np.unique(
        np.concatenate([place[from_ref], place[to_ref]]), return_inverse=True
    )
    start, end = ends_at[: len(from_ref)], ends_at[len(from_ref) :]
    forward, backward = ways.forward[of_way], ways.backward[of_way]
    graph = Graph(
        lon_lat_deg=np.column_stack([ways.lon_deg[nodes], ways.lat_deg[nodes]]),
        start=start,
        end=end,
        length_m=length_m,
        drive_s=length_m / (ways.speed_km_h[of_way] / KM_H_PER_M_S)
        + meeting_s(len(nodes), start, end),
        forward=forward,
        backward=backward,
        last_leg=ways.last_leg[of_way],
        joined=_joined(len(nodes), start, end, forward, backward),
        shape=shape,
        first=first,
    )
    return graph, Stretches.of(ways.facts, of_way, ways.node_ids[place[of_point]])


def _step_lengths_m(ways: Ways, place: Ints, steps: Ints) -> Floats:
    from pyproj import Geod

    a, b = place[steps], place[steps + 1]
    _, _, length_m = Geod(ellps="WGS84").inv(
        ways.lon_deg[a], ways.lat_deg[a], ways.lon_deg[b], ways.lat_deg[b]
    )
    return np.asarray(length_m, np.float64)


def meeting_s(junctions: int, start: Ints, end: Ints) -> Floats:
    """Return the seconds lost at the two ends of each of s stretches, half of them for either."""
    meeting = np.bincount(np.concatenate([start, end]), minlength=junctions) >= MEETING
    ends = meeting[start].astype(np.float64) + meeting[end]
    return np.asarray(ends * (JUNCTION_S / 2), np.float64)


def _parts(junctions: int, start: Ints, end: Ints, forward: Flags, backward: Flags) -> Ints:
    from registry.roads.searches import first_arcs, strong_parts

    source = np.concatenate([start[forward], end[backward]])
    target = np.concatenate([end[forward], start[backward]])
    order = np.argsort(source, kind="stable")
    return strong_parts(first_arcs(junctions, source[order]), target[order])


def _joined(junctions: int, start: Ints, end: Ints, forward: Flags, backward: Flags) -> Flags:
    part = _parts(junctions, start, end, forward, backward)
    largest = part == np.bincount(part).argmax()
    return np.asarray(largest[start] & largest[end])
