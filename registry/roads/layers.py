"""The road graph as arcs in three layers, so that last-leg lanes are no short cut."""

from dataclasses import dataclass

import numpy as np

from registry.roads.arrays import Flags, Floats, Ints
from registry.roads.graph import Graph
from registry.roads.searches import first_arcs

MS_PER_S = 1000
DM_PER_M = 10
DM_UNIT = 2.0**-25
"""One decimetre in a weight whose whole part is milliseconds.

Both add up exactly in one float64 (27 + 25 of its 53 bits) up to 37 h and 3,355 km, so that one
search gives the quickest time and the length of that very path.
"""


@dataclass(frozen=True, slots=True, eq=False)
class Layers:
    """Arcs between m nodes: the j junctions, and two more copies of those where a lane meets.

    A drive begins in the layer ``begin`` while on a last-leg lane, goes on among the junctions
    themselves, and ends in the layer ``finish`` once on a lane again: no arc leads back, so that no
    drive passes through a lane. ``begin`` and ``finish`` (j,) hold the copies' numbers (the
    junction's own where no lane meets). The arcs of node i are ``first[i]`` to ``first[i + 1]``;
    ``target`` (a,) is the node that an arc leads to, ``weight`` (a,) its time and length, ``key``
    (a,) from × m + to, sorted, ``stretch`` (a,) its stretch (−1 from layer to layer) and
    ``reverse`` (a,) whether it runs against the stretch.
    """

    begin: Ints
    finish: Ints
    first: Ints
    target: Ints
    weight: Floats
    key: Ints
    stretch: Ints
    reverse: Flags

    @classmethod
    def of(cls, graph: Graph) -> "Layers":
        """Return the layers of a graph."""
        own = np.arange(graph.junctions)
        meets = np.zeros(graph.junctions, bool)
        meets[graph.start[graph.last_leg]] = meets[graph.end[graph.last_leg]] = True
        copies = int(meets.sum())
        rank = np.cumsum(meets) - 1
        begin = np.where(meets, graph.junctions + rank, own)
        finish = np.where(meets, graph.junctions + copies + rank, own)
        lane, road = graph.last_leg, ~graph.last_leg
        crossing = own[meets]
        size = graph.junctions + 2 * copies
        blocks = [
            _arcs(graph, road & graph.forward, own, reverse=False),
            _arcs(graph, road & graph.backward, own, reverse=True),
            *(
                _arcs(graph, lane & allowed, layer, reverse=reverse)
                for layer in (begin, finish)
                for allowed, reverse in ((graph.forward, False), (graph.backward, True))
            ),
            _crossings(begin[crossing], crossing),
            _crossings(crossing, finish[crossing]),
        ]
        source, target, weight, stretch, reverse = (
            np.concatenate([block[i] for block in blocks]) for i in range(5)
        )
        key = source.astype(np.int64) * size + target
        order = np.lexsort((weight, key))
        key = key[order]
        quickest = order[np.concatenate([[True], key[1:] != key[:-1]])]  # of parallel stretches
        return cls(
            begin=begin,
            finish=finish,
            first=first_arcs(size, source[quickest]),
            target=target[quickest].astype(np.int64),
            weight=weight[quickest].astype(np.float64),
            key=np.unique(key),
            stretch=stretch[quickest].astype(np.int64),
            reverse=reverse[quickest].astype(bool),
        )

    @property
    def nodes(self) -> int:
        """How many nodes there are in all layers."""
        return len(self.first) - 1

    def steps(self, nodes: list[int]) -> list[tuple[int, bool]]:
        """Return (stretch, whether it is driven backwards) between the nodes of a path."""
        path = np.array(nodes, np.int64)
        at = np.searchsorted(self.key, path[:-1] * self.nodes + path[1:])
        return [
            (stretch, reverse)
            for stretch, reverse in zip(
                self.stretch[at].tolist(), self.reverse[at].tolist(), strict=True
            )
            if stretch >= 0
        ]


def weight_of(drive_s: Floats, length_m: Floats) -> Floats:
    """Return time and length as one number that adds up exactly; see ``DM_UNIT``."""
    return np.rint(drive_s * MS_PER_S) + np.rint(length_m * DM_PER_M) * DM_UNIT


def time_and_length(weight: Floats) -> tuple[Floats, Floats]:
    """Return seconds and metres from summed weights; both nan where the sum is infinite."""
    weight = np.where(np.isfinite(weight), weight, np.nan)
    whole = np.floor(weight)
    return whole / MS_PER_S, (weight - whole) / DM_UNIT / DM_PER_M


def _arcs(graph: Graph, chosen: Flags, layer: Ints, *, reverse: bool) -> tuple[Ints | Floats, ...]:
    stretch = np.flatnonzero(chosen)
    a, b = layer[graph.start[stretch]], layer[graph.end[stretch]]
    weight = weight_of(graph.drive_s[stretch], graph.length_m[stretch])
    source, target = (b, a) if reverse else (a, b)
    return source, target, weight, stretch, np.full(len(stretch), reverse, np.int64)


def _crossings(source: Ints, target: Ints) -> tuple[Ints | Floats, ...]:
    none = np.full(len(source), -1)
    return source, target, np.zeros(len(source)), none, np.zeros(len(source), np.int64)
