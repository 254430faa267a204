"""The quickest ways over a road graph, by Dijkstra's search."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from registry.records.places import LonLat
from registry.roads.arrays import Floats, Ints
from registry.roads.graph import Graph
from registry.roads.layers import Layers, time_and_length
from registry.roads.nearest import Nearest, Snaps
from registry.roads.searches import quickest

BEYOND_S = np.inf
AT_JUNCTION_M = 1.0
"""A place so near the end of its stretch stands at the junction."""


@dataclass(frozen=True, slots=True, eq=False)
class _Ends:
    """The two ways to leave, or to reach, each of n places: node, seconds, metres; (n, 2) each."""

    node: Ints
    drive_s: Floats
    length_m: Floats


class GraphSearch:
    """Quickest ways over one graph; what it needs is made when first asked for."""

    def __init__(self, graph: Graph) -> None:
        self._graph = graph

    @cached_property
    def nearest(self) -> Nearest:
        """What puts places on the graph."""
        return Nearest(self._graph)

    @cached_property
    def _layers(self) -> Layers:
        return Layers.of(self._graph)

    def table(self, snaps: Snaps) -> tuple[Floats, Floats]:
        """Return seconds and metres between all places, nan where no road leads; 0 to itself."""
        travel_s, travel_m = self._best(snaps)
        for table in (travel_s, travel_m):
            np.fill_diagonal(table, 0.0)
        return travel_s, travel_m

    def line(self, places: Sequence[LonLat], snaps: Snaps) -> tuple[LonLat, ...]:
        """Return the line along the roads through the places; empty where a leg has no road."""
        line: list[LonLat] = []
        for leg in range(len(places) - 1):
            piece = self._leg(snaps, leg)
            if not piece:
                return ()
            line += piece[1:] if line and line[-1] == piece[0] else piece
        return tuple(line)

    def _ends(self, snaps: Snaps, *, reaching: bool) -> _Ends:
        """Return the ways by the end of the stretch, then by its start.

        A place is left by the end driving forward and reached from there driving backward.
        """
        graph, on = self._graph, snaps.stretch
        share = np.column_stack([1 - snaps.along_share, snaps.along_share])
        may = np.column_stack([graph.forward[on], graph.backward[on]])[:, :: -1 if reaching else 1]
        may |= share * graph.length_m[on][:, None] < AT_JUNCTION_M  # whatever is one-way there
        copies = self._layers.finish if reaching else self._layers.begin
        nodes = np.column_stack([graph.end[on], graph.start[on]])
        return _Ends(
            node=np.where(graph.last_leg[on][:, None], copies[nodes], nodes),
            drive_s=np.where(may, share * graph.drive_s[on][:, None], BEYOND_S),
            length_m=share * graph.length_m[on][:, None],
        )

    def _best(self, snaps: Snaps) -> tuple[Floats, Floats]:
        """Return the quickest of the ways between each two places, nan where there is none."""
        leave, reach = self._ends(snaps, reaching=False), self._ends(snaps, reaching=True)
        best_s, best_m = self._along_one_stretch(snaps)
        time_s, length_m, row = self._between(leave, np.unique(reach.node))
        column = np.searchsorted(np.unique(reach.node), reach.node)
        for out in (0, 1):
            for into in (0, 1):
                at = np.ix_(row[:, out], column[:, into])
                candidate_s = leave.drive_s[:, [out]] + time_s[at] + reach.drive_s[:, into]
                candidate_m = leave.length_m[:, [out]] + length_m[at] + reach.length_m[:, into]
                better = np.nan_to_num(candidate_s, nan=BEYOND_S) < best_s
                best_s = np.where(better, candidate_s, best_s)
                best_m = np.where(better, candidate_m, best_m)
        return np.where(np.isfinite(best_s), best_s, np.nan), best_m

    def _between(self, leave: _Ends, targets: Ints) -> tuple[Floats, Floats, Ints]:
        """Search from every node by which a place is left; ``row`` finds a node's answers."""
        sources, row = np.unique(leave.node, return_inverse=True)
        weight = np.empty((len(sources), len(targets)))
        for number, source in enumerate(sources):
            weight[number] = self._search(source)[0][targets]
        time_s, length_m = time_and_length(weight)
        return time_s, length_m, row.reshape(leave.node.shape)

    def _search(self, source: int) -> tuple[Floats, Ints]:
        """Return the weight of the way to every node, and the node before each on it."""
        layers = self._layers
        reached, before = np.empty(layers.nodes), np.empty(layers.nodes, np.int64)
        quickest(layers.first, layers.target, layers.weight, source, reached, before)
        return reached, before

    def _along_one_stretch(self, snaps: Snaps) -> tuple[Floats, Floats]:
        """Return the way from place to place on the same stretch, infinite for all others."""
        graph, on = self._graph, snaps.stretch
        ahead = snaps.along_share - snaps.along_share[:, None]
        may = np.where(ahead >= 0, graph.forward[on], graph.backward[on]) & (on == on[:, None])
        share = np.abs(ahead)
        return (
            np.where(may, share * graph.drive_s[on], BEYOND_S),
            np.where(may, share * graph.length_m[on], np.nan),
        )

    def stretches_of(self, places: Sequence[LonLat], snaps: Snaps) -> list[dict[int, float]]:
        """Return, for each leg, the metres driven on each stretch; empty where no road leads."""
        length_m = self._graph.length_m
        found: list[dict[int, float]] = []
        for leg in range(len(places) - 1):
            on: dict[int, float] = {}
            for stretch, from_share, to_share in self._pieces(snaps, leg):
                driven_m = abs(to_share - from_share) * float(length_m[stretch])
                on[stretch] = on.get(stretch, 0.0) + driven_m
            found.append(on)
        return found

    def _leg(self, snaps: Snaps, leg: int) -> list[LonLat]:
        """Return the line of one leg, from place ``leg`` to the next; empty where no road leads."""
        line: list[LonLat] = []
        for stretch, from_share, to_share in self._pieces(snaps, leg):
            if {from_share, to_share} == {0.0, 1.0}:
                first = self._graph.first
                shape = self._graph.shape[first[stretch] : first[stretch + 1]].tolist()
                points = [LonLat(lon, lat) for lon, lat in shape[:: 1 if to_share else -1]]
            else:
                points = self.nearest.piece(stretch, from_share, to_share)
            line += points[1:] if line else points
        return line

    def _pieces(self, snaps: Snaps, leg: int) -> list[tuple[int, float, float]]:
        """Return the stretches of one leg with the shares of them between which it drives."""
        pair = Snaps(
            snaps.stretch[leg : leg + 2],
            snaps.along_share[leg : leg + 2],
            snaps.snap_m[leg : leg + 2],
            (),
        )
        (here, there), (from_share, to_share) = pair.stretch.tolist(), pair.along_share.tolist()
        direct_s = float(self._along_one_stretch(pair)[0][0, 1])
        leave, reach = self._ends(pair, reaching=False), self._ends(pair, reaching=True)
        reached, before = zip(*(self._search(node) for node in leave.node[0]), strict=True)
        time_s, _ = time_and_length(np.array(reached)[:, reach.node[1]])
        total_s = leave.drive_s[0][:, None] + np.nan_to_num(time_s, nan=BEYOND_S) + reach.drive_s[1]
        if direct_s <= total_s.min():
            return [(here, from_share, to_share)] if direct_s < BEYOND_S else []
        out, into = np.unravel_index(total_s.argmin(), total_s.shape)
        nodes = [int(reach.node[1, into])]
        while nodes[-1] != leave.node[0, out]:
            nodes.append(int(before[out][nodes[-1]]))
        between = [
            (stretch, 1.0, 0.0) if reverse else (stretch, 0.0, 1.0)
            for stretch, reverse in self._layers.steps(nodes[::-1])
        ]
        first = (here, from_share, 1.0 if out == 0 else 0.0)
        return [first, *between, (there, 1.0 if into == 0 else 0.0, to_share)]
