"""Travel times by Dijkstra's search over the imported network, for where OSRM cannot be had."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from registry.plan.ports import Matrix
from registry.records.places import LonLat
from registry.records.roads import NamedStretch, NetworkInfo, RoadConditions, VehicleLimits
from registry.roads.blocking import in_the_way
from registry.roads.cut import without
from registry.roads.graph import Graph
from registry.roads.graph_search import GraphSearch
from registry.roads.named import Lines, named_stretch
from registry.roads.network_book import Barred, NetworkBook, digest_of
from registry.roads.snapping import (
    closed_warnings,
    on_a_closed_road,
    snap_warnings,
    unreachable_warnings,
)
from registry.roads.speeds import with_speeds
from registry.roads.stretches import Stretches

MOST_SEARCHES = 6
"""Networks kept at a time: what is barred differs from truck to truck and from plan to plan."""


class DijkstraRoads:
    """A road engine over a graph in memory; ``info`` says which network it is."""

    def __init__(
        self,
        book: NetworkBook,
        info: NetworkInfo,
        conditions: RoadConditions | None = None,
        searches: dict[str, GraphSearch] | None = None,
    ) -> None:
        self._book = book
        self._info = info
        self._conditions = conditions or RoadConditions()
        self._searches = {} if searches is None else searches

    @classmethod
    def open(cls, folder: Path, info: NetworkInfo) -> "DijkstraRoads":
        """Open the network in a revision's folder; a damaged one is told when first asked."""
        return cls(NetworkBook.of_folder(folder), info)

    @classmethod
    def over(cls, graph: Graph, stretches: Stretches, info: NetworkInfo) -> "DijkstraRoads":
        """Return the engine over a network in memory."""
        return cls(NetworkBook(lambda: graph, lambda: stretches), info)

    @property
    def key(self) -> str:
        """What tells this engine's answers from another's."""
        about = f"{self._info.revision} {self._info.source_file} {self._info.credit}"
        return f"dijkstra {about} {digest_of(self._conditions)}"

    def close(self) -> None:
        """Do nothing: all is in this process's memory."""

    def under(self, conditions: RoadConditions) -> "DijkstraRoads":
        """Return the same roads under other conditions."""
        return DijkstraRoads(self._book, self._info, conditions, self._searches)

    def get_ready(self) -> None:
        """Be ready: the network is read when first asked about."""

    def travel_times(
        self, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> Matrix:
        """Return driving seconds and metres between all places.

        Raises
        ------
        RoadError
            If a place lies more than 2 km from any road.
        """
        barred = self._barred(limits)
        search, whole = self._search(barred), self._search(None)
        snaps = search.nearest.put(places)
        snap_m = snaps.snap_m
        travel_s, travel_m = search.table(snaps)
        said: tuple[str, ...] = snaps.warnings
        if len(barred.pieces):
            snap_m, closed = on_a_closed_road(snap_m, whole.nearest.put(places).snap_m)
            for table in (travel_s, travel_m):
                table[closed | closed[:, None]] = np.nan
                np.fill_diagonal(table, 0.0)
            said += closed_warnings(places, closed)
        return Matrix(
            travel_s=travel_s,
            travel_m=travel_m,
            snap_m=snap_m,
            source=self._source(),
            warnings=(
                *barred.warnings,
                *snap_warnings(places, snap_m),
                *said,
                *unreachable_warnings(places, travel_s),
            ),
            built=self._info.built_at,
            credit=self._info.credit,
            closed=barred.closed,
        )

    def line(
        self, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> tuple[LonLat, ...]:
        """Return the line along the roads through the places; empty where a leg has no road."""
        search = self._search(self._barred(limits))
        snaps = search.nearest.put(places)
        snap_warnings(places, snaps.snap_m)
        return search.line(places, snaps)

    def in_the_way(
        self, start: LonLat, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> tuple[tuple[str, ...], ...]:
        """Return for each place the closures that, lifted, open a way from a start to it and back.

        As few as are needed; none where no closure stands in the way, or lifting all of them would
        not help.
        """
        return in_the_way(self, self._conditions, start, places, limits)

    def find(self, wanted: NamedStretch) -> Lines:
        """Return the lines of a stretch of a road by name; see ``named_stretch``."""
        return named_stretch(self._book.graph, self._book.stretches, wanted)

    def classes_m(self, places: Sequence[LonLat]) -> tuple[dict[str, float], ...]:
        """Return for each leg how many metres it leads over each class of road; see the port."""
        search, stretches = self._search(self._barred(None)), self._book.stretches
        legs: list[dict[str, float]] = []
        for on in search.stretches_of(places, search.nearest.put(places)):
            metres: dict[str, float] = {}
            for stretch, driven_m in on.items():
                for word in stretches.classes_of(stretch):
                    metres[word] = metres.get(word, 0.0) + driven_m
            legs.append(metres)
        return tuple(legs)

    def _barred(self, limits: VehicleLimits | None) -> Barred:
        return self._book.barred(self._conditions, limits)

    def _search(self, barred: Barred | None) -> GraphSearch:
        """Return the search over the network without what is barred; None = the whole of it."""
        key = "" if barred is None or barred.changes_nothing else barred.digest
        if key not in self._searches:
            graph = self._book.graph
            if barred is not None:
                graph = without(with_speeds(graph, barred.speed_km_h), barred.pieces)
            kept = [one for one in self._searches if one]
            for old in kept[: len(kept) - MOST_SEARCHES + 1]:
                del self._searches[old]
            self._searches[key] = GraphSearch(graph)
        return self._searches[key]

    def _source(self) -> str:
        reason = self._info.why_not_osrm or "OSRM is not to be had on this machine"
        return f"Dijkstra over {self._info.source_file}, because {reason}"
