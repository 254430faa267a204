"""What a network says about itself, read when first asked for, and what is barred on it."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from registry.records.closures import Closure
from registry.records.roads import RoadConditions, VehicleLimits
from registry.roads.arrays import Floats, Ints
from registry.roads.closing import closed_pieces
from registry.roads.graph import Graph
from registry.roads.speeds import set_speeds_km_h
from registry.roads.stretches import Stretches

GRAPH = "graph.npz"


@dataclass(frozen=True, slots=True, eq=False)
class Barred:
    """What may not be driven: ``pieces`` in order; ``closed`` names the closures among the reasons.

    ``speed_km_h`` (s,) is the speed that the firm set for each stretch, nan where it set none.
    ``warnings`` say which closures close no road of this network.
    """

    pieces: Ints
    speed_km_h: Floats
    closed: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def changes_nothing(self) -> bool:
        """Tell whether the network is driven as it was built."""
        return not len(self.pieces) and bool(np.isnan(self.speed_km_h).all())

    @property
    def digest(self) -> str:
        """What tells this network from the same one under other conditions."""
        content = self.pieces.astype(np.int64).tobytes() + self.speed_km_h.tobytes()
        return hashlib.sha256(content).hexdigest()[:32]


NOTHING_BARRED = Barred(np.empty(0, np.int64), np.empty(0), (), ())


class NetworkBook:
    """The graph of a network and the table of its stretches, each read when first asked for."""

    def __init__(self, graph: Callable[[], Graph], stretches: Callable[[], Stretches]) -> None:
        self._read_graph = graph
        self._read_stretches = stretches
        self._closed: dict[Closure, Ints] = {}

    @classmethod
    def of_folder(cls, folder: Path) -> "NetworkBook":
        """Return the book of a revision's folder; a damaged one is told when first asked."""
        return cls(lambda: Graph.load(folder / GRAPH), lambda: Stretches.load(folder))

    @cached_property
    def graph(self) -> Graph:
        """The network as a graph."""
        return self._read_graph()

    @cached_property
    def stretches(self) -> Stretches:
        """What is known of each stretch of the graph."""
        return self._read_stretches()

    def barred(self, conditions: RoadConditions, limits: VehicleLimits | None) -> Barred:
        """Return what may not be driven under some conditions, by a truck with some limits.

        Raises
        ------
        RoadError
            If the network is damaged, or older than closures.
        """
        if limits is None and conditions == RoadConditions():
            return NOTHING_BARRED
        pieces = [np.empty(0, np.int64)]
        closed, warnings = [], []
        for one in conditions.closures:
            found = self._pieces_of(one)
            if len(found):
                pieces.append(found)
                closed.append(one.name)
            else:
                warnings.append(
                    f"The closure “{one.name}” lies on no road of this network: nothing is closed "
                    "by it."
                )
        if limits is not None:
            pieces.append(self._pieces_in(np.flatnonzero(self.stretches.barred_to(limits))))
        return Barred(
            pieces=np.unique(np.concatenate(pieces)),
            speed_km_h=set_speeds_km_h(self.stretches, conditions.speeds_mph)
            if conditions.speeds_mph
            else np.full(len(self.graph.start), np.nan),
            closed=tuple(dict.fromkeys(closed)),
            warnings=tuple(warnings),
        )

    def _pieces_of(self, closure: Closure) -> Ints:
        if closure not in self._closed:
            self._closed[closure] = closed_pieces(self.graph, self.stretches, closure)
        return self._closed[closure]

    def _pieces_in(self, stretches: Ints) -> Ints:
        """Return all pieces of some stretches."""
        first = self.graph.first
        spans = [np.arange(first[i], first[i + 1] - 1) for i in stretches.tolist()]
        return np.concatenate([np.empty(0, np.int64), *spans])


def digest_of(conditions: RoadConditions) -> str:
    """Return what tells some conditions from others, empty where there are none."""
    if not conditions.closures and not conditions.speeds_mph:
        return ""
    said = [f"{one.name}\n{one.road}\n{one.shape}" for one in conditions.closures]
    said += [f"{kind} {mph:.3f}" for kind, mph in sorted(conditions.speeds_mph.items())]
    return hashlib.sha256("\n".join(said).encode()).hexdigest()[:32]
