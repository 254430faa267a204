"""Answers of a road engine kept by their content, so that a second plan does not ask again."""

import hashlib
import json
import os
import tempfile
import zipfile
from collections.abc import Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Protocol

import numpy as np
from shapely import MultiLineString

from registry.plan.ports import KnownRoads, Matrix
from registry.records.places import LonLat
from registry.records.roads import NamedStretch, RoadConditions, VehicleLimits
from registry.roads.nearest import lon_lat_array

PLACES_DIGITS = 6
"""Places are compared to a millionth of a degree, a tenth of a metre."""
MOST_BYTES = 128_000_000
MOST_FILES = 200
FORMAT = "2"


class KeyedRoads(KnownRoads, Protocol):
    """A road engine whose ``key`` names all that its answers rest on: network, engine, closures."""

    @property
    def key(self) -> str:
        """What tells this engine's answers from another's."""
        ...

    def under(self, conditions: RoadConditions) -> "KeyedRoads":
        """Return the same roads under other conditions."""
        ...

    def close(self) -> None:
        """Give back what the engine holds."""
        ...


class CachedRoads:
    """A road engine that keeps its tables in a folder; the least recently used goes first."""

    def __init__(self, engine: KeyedRoads, folder: Path, most_bytes: int = MOST_BYTES) -> None:
        self._engine = engine
        self._folder = folder
        self._most_bytes = most_bytes

    def close(self) -> None:
        """Close the engine behind."""
        self._engine.close()

    def __enter__(self) -> "CachedRoads":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def under(self, conditions: RoadConditions) -> "CachedRoads":
        """Return the same roads under other conditions, over the same folder of tables."""
        return CachedRoads(self._engine.under(conditions), self._folder, self._most_bytes)

    def get_ready(self) -> None:
        """Let the engine behind get ready."""
        self._engine.get_ready()

    def travel_times(
        self, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> Matrix:
        """Return driving seconds and metres between all places, from the folder if they are there.

        Raises
        ------
        RoadError
            As the engine behind raises it; nothing is kept then.
        """
        path = self._folder / f"{self._name(places, limits)}.npz"
        kept = _read(path, len(places))
        if kept is not None:
            return kept
        matrix = self._engine.travel_times(places, limits=limits)
        with suppress(OSError):  # a full disk or a read-only folder costs time, not the plan
            self._keep(path, matrix)
        return matrix

    def line(
        self, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> tuple[LonLat, ...]:
        """Return the line along the roads through the places."""
        return self._engine.line(places, limits=limits)

    def in_the_way(
        self, start: LonLat, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> tuple[tuple[str, ...], ...]:
        """Return for each place the closures that, lifted, open a way from a start to it."""
        return self._engine.in_the_way(start, places, limits=limits)

    def find(self, wanted: NamedStretch) -> MultiLineString:
        """Return the lines of a stretch of a road by name."""
        return self._engine.find(wanted)

    def classes_m(self, places: Sequence[LonLat]) -> tuple[dict[str, float], ...]:
        """Return for each leg how many metres it leads over each class of road; see the port."""
        return self._engine.classes_m(places)

    def _name(self, places: Sequence[LonLat], limits: VehicleLimits | None) -> str:
        rounded = np.round(lon_lat_array(places), PLACES_DIGITS) + 0.0  # no negative zero
        truck = f"{limits.weight_lb} {limits.height_ft}" if limits else ""
        content = f"{FORMAT} {self._engine.key} {truck} ".encode() + rounded.tobytes()
        return hashlib.sha256(content).hexdigest()[:32]

    def _keep(self, path: Path, matrix: Matrix) -> None:
        self._folder.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=self._folder, suffix=".part", delete=False) as fresh:
            try:
                _write(fresh, matrix)
                fresh.close()
                Path(fresh.name).replace(path)
            finally:
                with suppress(FileNotFoundError):
                    Path(fresh.name).unlink()
        self._sweep()

    def _sweep(self) -> None:
        """Delete the least recently used tables beyond the bound."""
        files = sorted(
            (
                (one.stat().st_mtime_ns, one.stat().st_size, one)
                for one in self._folder.glob("*.npz")
            ),
            reverse=True,
        )
        total = 0
        for number, (_, size, path) in enumerate(files):
            total += size
            if number and (total > self._most_bytes or number >= MOST_FILES):
                path.unlink(missing_ok=True)


def _write(stream: "tempfile._TemporaryFileWrapper[bytes]", matrix: Matrix) -> None:
    about = {
        "source": matrix.source,
        "warnings": matrix.warnings,
        "built": matrix.built.isoformat() if matrix.built else "",
        "credit": matrix.credit,
        "closed": matrix.closed,
    }
    np.savez(
        stream,
        travel_s=matrix.travel_s,
        travel_m=matrix.travel_m,
        snap_m=matrix.snap_m,
        about=np.frombuffer(json.dumps(about).encode(), np.uint8),
    )


def _read(path: Path, count: int) -> Matrix | None:
    """Return a kept table, None where there is none or it cannot be read."""
    try:
        with path.open("rb") as stream, np.load(stream) as kept:
            about = json.loads(kept["about"].tobytes())
            matrix = Matrix(
                travel_s=kept["travel_s"],
                travel_m=kept["travel_m"],
                snap_m=kept["snap_m"],
                source=about["source"],
                warnings=tuple(about["warnings"]),
                built=datetime.fromisoformat(about["built"]) if about["built"] else None,
                credit=about["credit"],
                closed=tuple(about["closed"]),
            )
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    if matrix.travel_s.shape != (count, count):
        return None
    with suppress(OSError):
        os.utime(path)  # used just now
    return matrix
