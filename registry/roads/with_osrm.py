"""Travel times by OSRM, in a process of its own; what OSRM does silently is checked and said."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from registry.plan.ports import Matrix
from registry.records.places import LonLat
from registry.records.roads import NetworkInfo
from registry.roads.graph import Floats
from registry.roads.nearest import lon_lat_array
from registry.roads.osrm_build import NAME, OPEN
from registry.roads.osrm_process import OsrmProcess
from registry.roads.snapping import DETOUR_M, gap_warning, snap_warnings, unreachable_warnings

GAP_M = 1.0
"""A road farther than the nearest one by more than this was chosen because that leads nowhere."""


class OsrmRoads:
    """A road engine over a network built by OSRM; ``info`` says which network it is."""

    def __init__(self, revision_folder: Path, info: NetworkInfo) -> None:
        self._process = OsrmProcess(revision_folder / OPEN / NAME)
        self._info = info

    @property
    def key(self) -> str:
        """What tells this engine's answers from another's."""
        return f"osrm {self._info.revision} {self._info.source_file} {self._info.credit}"

    def close(self) -> None:
        """End the engine's process."""
        self._process.close()

    def travel_times(self, places: Sequence[LonLat]) -> Matrix:
        """Return driving seconds and metres between all places.

        A place on a road that isn't joined to the rest is put on the joined network if that is
        hardly farther, and said; else it counts as not reachable, and is named.

        Raises
        ------
        RoadError
            If a place lies more than 2 km from any road, or the engine fails twice.
        """
        lon_lat = lon_lat_array(places)
        if not len(places):
            return self._matrix(np.empty((0, 0)), np.empty((0, 0)), np.empty(0), ())
        asked = lon_lat.tolist() if len(places) > 1 else lon_lat.tolist() * 2  # OSRM wants two
        told = self._process.ask("table", asked)
        snap_m, nearest_m = told["snap_m"][: len(places)], told["nearest_m"][: len(places)]
        moved_m = snap_m - nearest_m
        alone = moved_m > DETOUR_M
        snap_m = np.where(alone, nearest_m, snap_m)
        warnings = snap_warnings(places, snap_m)
        warnings += tuple(
            gap_warning(i, places[i], snap_m[i])
            for i in np.flatnonzero((moved_m > GAP_M) & ~alone).tolist()
        )
        size = np.s_[: len(places), : len(places)]
        travel_s, travel_m = told["travel_s"][size], told["travel_m"][size]
        lost = alone | alone[:, None] | np.isnan(travel_s)
        for table in (travel_s, travel_m):
            table[lost] = np.nan
            np.fill_diagonal(table, 0.0)
        warnings += unreachable_warnings(places, travel_s)
        return self._matrix(travel_s, travel_m, snap_m, warnings)

    def line(self, places: Sequence[LonLat]) -> tuple[LonLat, ...]:
        """Return the line along the roads through the places; empty where a leg has no road."""
        lon_lat = lon_lat_array(places)
        if len(places) <= 1:
            return ()
        line = self._process.ask("line", lon_lat.tolist())["line"]
        return tuple(LonLat(lon, lat) for lon, lat in line.tolist())

    def _matrix(
        self, travel_s: Floats, travel_m: Floats, snap_m: Floats, warnings: tuple[str, ...]
    ) -> Matrix:
        return Matrix(
            travel_s=travel_s,
            travel_m=travel_m,
            snap_m=snap_m,
            source=f"OSRM {self._info.engine_version} over {self._info.source_file}",
            warnings=warnings,
            built=self._info.built_at,
            credit=self._info.credit,
        )
