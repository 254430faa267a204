"""Travel times by OSRM, in a process of its own; what OSRM does silently is checked and said."""

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

import numpy as np

from registry.plan.ports import Matrix
from registry.records.places import LonLat
from registry.records.roads import NamedStretch, NetworkInfo, RoadConditions, VehicleLimits
from registry.roads.arrays import Floats
from registry.roads.named import Lines, named_stretch
from registry.roads.nearest import lon_lat_array
from registry.roads.network_book import digest_of
from registry.roads.osrm_engines import OsrmEngines
from registry.roads.snapping import (
    DETOUR_M,
    closed_warnings,
    gap_warning,
    on_a_closed_road,
    snap_warnings,
    unreachable_warnings,
)
from registry.roads.with_dijkstra import DijkstraRoads

GAP_M = 1.0
"""A road farther than the nearest one by more than this was chosen because that leads nowhere."""


class OsrmRoads:
    """A road engine over a network built by OSRM; ``info`` says which network it is."""

    def __init__(
        self,
        revision_folder: Path,
        info: NetworkInfo,
        conditions: RoadConditions | None = None,
        engines: OsrmEngines | None = None,
    ) -> None:
        self._folder = revision_folder
        self._info = info
        self._conditions = conditions or RoadConditions()
        self._engines = engines or OsrmEngines(revision_folder)
        self._book = self._engines.book

    @property
    def key(self) -> str:
        """What tells this engine's answers from another's."""
        about = f"{self._info.revision} {self._info.source_file} {self._info.credit}"
        return f"osrm {about} {digest_of(self._conditions)}"

    def close(self) -> None:
        """End the engines, those under other conditions too."""
        self._engines.close()

    def under(self, conditions: RoadConditions) -> "OsrmRoads":
        """Return the same roads under other conditions."""
        return OsrmRoads(self._folder, self._info, conditions, self._engines)

    def get_ready(self) -> None:
        """Start the process of the engines, which comes up meanwhile."""
        self._engines.start()

    def travel_times(
        self, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> Matrix:
        """Return driving seconds and metres between all places.

        A place on a road that isn't joined to the rest is put on the joined network if that is
        hardly farther, and said; else it counts as not reachable, and is named.

        Raises
        ------
        RoadError
            If a place lies more than 2 km from any road, or the engine fails twice.
        """
        lon_lat = lon_lat_array(places)
        barred = self._book.barred(self._conditions, limits)
        if not len(places):
            nothing = np.empty((0, 0))
            return self._matrix(nothing, nothing, np.empty(0), barred.warnings, barred.closed)
        asked = lon_lat if len(places) > 1 else np.repeat(lon_lat, 2, axis=0)  # OSRM wants two
        told = self._engines.table(barred, asked)
        snap_m, nearest_m = told["snap_m"][: len(places)], told["nearest_m"][: len(places)]
        moved_m = snap_m - nearest_m
        alone = moved_m > DETOUR_M
        snap_m = np.where(alone, nearest_m, snap_m)
        closed = np.zeros(len(places), bool)
        if len(barred.pieces):
            open_m = told["open_m"][: len(places)]
            kept_m, closed = on_a_closed_road(nearest_m, open_m)
            snap_m = np.where(closed, kept_m, snap_m)
        warnings = barred.warnings + snap_warnings(places, snap_m)
        warnings += tuple(
            gap_warning(i, places[i], snap_m[i])
            for i in np.flatnonzero((moved_m > GAP_M) & ~alone & ~closed).tolist()
        )
        warnings += closed_warnings(places, closed)
        size = np.s_[: len(places), : len(places)]
        travel_s, travel_m = told["travel_s"][size].copy(), told["travel_m"][size].copy()
        cut_off = alone | closed
        lost = cut_off | cut_off[:, None] | np.isnan(travel_s)
        for table in (travel_s, travel_m):
            table[lost] = np.nan
            np.fill_diagonal(table, 0.0)
        warnings += unreachable_warnings(places, travel_s)
        return self._matrix(travel_s, travel_m, snap_m, warnings, barred.closed)

    def line(
        self, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> tuple[LonLat, ...]:
        """Return the line along the roads through the places; empty where a leg has no road."""
        lon_lat = lon_lat_array(places)
        if len(places) <= 1:
            return ()
        line = self._engines.line(self._book.barred(self._conditions, limits), lon_lat)
        return tuple(LonLat(lon, lat) for lon, lat in line.tolist())

    def in_the_way(
        self, start: LonLat, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> tuple[tuple[str, ...], ...]:
        """Return for each place the closures that, lifted, open a way from a start to it and back.

        Asked of the graph, which needs no network of OSRM for each closure that is tried.
        """
        return self._by_graph.in_the_way(start, places, limits=limits)

    @cached_property
    def _by_graph(self) -> DijkstraRoads:
        """The same roads by Dijkstra's search, which keeps what it found for the next question."""
        return DijkstraRoads(self._book, self._info, self._conditions)

    def find(self, wanted: NamedStretch) -> Lines:
        """Return the lines of a stretch of a road by name; see ``named_stretch``."""
        return named_stretch(self._book.graph, self._book.stretches, wanted)

    def classes_m(self, places: Sequence[LonLat]) -> tuple[dict[str, float], ...]:
        """Return for each leg how many metres it leads over each class of road; see the port."""
        graph = DijkstraRoads(self._book, self._info, self._conditions)
        return graph.classes_m(places)

    def _matrix(
        self,
        travel_s: Floats,
        travel_m: Floats,
        snap_m: Floats,
        warnings: tuple[str, ...],
        closed: tuple[str, ...],
    ) -> Matrix:
        return Matrix(
            travel_s=travel_s,
            travel_m=travel_m,
            snap_m=snap_m,
            source=f"OSRM {self._info.engine_version} over {self._info.source_file}",
            warnings=warnings,
            built=self._info.built_at,
            credit=self._info.credit,
            closed=closed,
        )
