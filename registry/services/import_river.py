"""Importing what is known of rivers: gauges, centrelines, levels, stages, low points of roads."""

from collections.abc import Sequence
from itertools import chain
from typing import Any

import shapely

from registry.errors import FileError, RangeError
from registry.imports.cells import Fault
from registry.imports.opening import opened
from registry.imports.positions import Positions
from registry.imports.river_rows import KINDS, RiverKind, check
from registry.imports.rows import RowReader, Rows
from registry.imports.shapes import LINES, Shapes
from registry.imports.sheet import Sheet
from registry.records.elevation import datum_named
from registry.services.after_flood import flooded_sites
from registry.services.import_map import map_of
from registry.services.import_outcome import (
    ImportOutcome,
    ImportRequest,
    Tally,
    finished,
    rejects_of,
)
from registry.services.rivers import known_rivers
from registry.store import Session
from registry.store.river_load import KEYS, RiverLoad, Row
from registry.store.rivers import gauge_ids
from registry.store.tables import (
    Base,
    GaugeRow,
    LowPointRow,
    RiverLevelRow,
    RiverLineRow,
    StageRow,
)

TABLES: dict[str, type[Base]] = {
    "gauges": GaugeRow,
    "river": RiverLineRow,
    "levels": RiverLevelRow,
    "stages": StageRow,
    "low-points": LowPointRow,
}
NUMBERS = {
    "gauges": ("station_mi", "zero_ft", "slope_ft_per_mi"),
    "river": ("first_mi", "last_mi"),
    "levels": ("stage_ft", "station_mi", "surface_ft"),
    "stages": ("at", "stage_ft"),
    "low-points": ("elevation_ft",),
}
TEXTS = {
    "gauges": ("river", "credit"),
    "river": ("river",),
    "levels": (),
    "stages": (),
    "low-points": ("name", "source"),
}
"""Fields that a row of the store takes over as they are."""


def import_river(session: Session, request: ImportRequest, kind_name: str) -> ImportOutcome:
    """Bring a file of one of ``KINDS`` into the registry; rows that cannot be taken are kept.

    Raises
    ------
    FileError, ConfigError
        If the file as a whole or its column map cannot be used, or its levels are no river's;
        nothing is written then.
    """
    kind, tally = KINDS[kind_name], Tally()
    with opened(request.path, request.reading) as source:
        sheets = source.sheets()
        first = next(sheets)
        mapped = map_of(request, kind.name, kind.fields, kind.needed, source, first, tally)
        reader = RowReader(source.name, kind.fields, mapped)
        ids = gauge_ids(session)
        load = RiverLoad(session, request.author, TABLES[kind_name])
        places = Positions(file_name=source.name, crs=request.crs or mapped.crs or source.crs)
        shapes = Shapes(source.name, LINES, request.crs or source.crs, tally.notes)
        taken: list[Row] = []
        with rejects_of(source, request) as rejects:
            for sheet in chain([first], sheets):
                rows = reader.read(sheet)
                check(kind, mapped, rows, [*ids])
                geometries = _geometries(kind, sheet, rows, places, shapes)
                rejects.add_broken(sheet)
                rejects.add(rows, dict.fromkeys(rows.faults, ""))
                taken += [_row(kind, rows, i, ids, geometries[i]) for i in rows.good()]
                tally.read += len(sheet) + len(sheet.broken)
                request.progress(tally.read, source.rows)
            _one_each(kind, taken, source.name)
            tally.count(load.put(taken))
            _replace(kind, load, taken, tally)
            tally.notes += [*source.notes, *places.notes]
            _check_rivers(session, source.name)
            if kind.name == "stages":
                tally.touched += flooded_sites(session)
            return finished(session, kind.name, request, tally, rejects)


def _geometries(
    kind: RiverKind, sheet: Sheet, rows: Rows, places: Positions, shapes: Shapes
) -> Sequence[Any]:
    """Return what each row looks like on the map, None where its kind has no place."""
    if kind.name == "river":
        return shapes.in_degrees(sheet, rows)
    if kind.name != "low-points":
        return [None] * len(sheet)
    lon, lat = places.place(rows)
    for i in rows.good():
        if lon[i] is None or lat[i] is None:
            rows.fault(i, "lon", Fault("it has no position", "Give lon and lat"))
    return [
        None if x is None or y is None else shapely.Point(x, y)
        for x, y in zip(lon, lat, strict=True)
    ]


def _row(kind: RiverKind, rows: Rows, i: int, ids: dict[str, int], geometry: Any) -> Row:  # noqa: ANN401 - shapely
    """Return one row of the file as a row of the store."""
    given = {name: values[i] for name, values in rows.values.items()}
    row = {name: given.get(name) for name in NUMBERS[kind.name]}
    row |= {name: given.get(name) or "" for name in TEXTS[kind.name]}
    if kind.elevation:
        measured = given.get(kind.elevation) is not None
        row["datum"] = datum_named(given.get("datum")) if measured else ""
    if kind.needs_gauge:
        row["gauge_id"] = ids[given["gauge"]]
    if geometry is not None:
        row["geom"] = geometry
    match kind.name:
        case "gauges":
            row["name"] = given["gauge"]
        case "river":
            row["source_key"] = f"{given['gauge']} {given['first_mi']:g}-{given['last_mi']:g}"
        case "stages":
            row["is_forecast"] = bool(given.get("forecast"))
    return row


def _one_each(kind: RiverKind, taken: Sequence[Row], file_name: str) -> None:
    """Raise if two rows of a file are the same thing: which of them holds, nobody knows."""
    seen: set[tuple[Any, ...]] = set()
    for row in taken:
        key = tuple(row[name] for name in KEYS[TABLES[kind.name]])
        if key in seen:
            said = ", ".join(f"{one:g}" if isinstance(one, float) else str(one) for one in key[-2:])
            raise FileError(f"{file_name} tells {said} twice. Leave one of the two rows out.")
        seen.add(key)


def _replace(kind: RiverKind, load: RiverLoad, taken: Sequence[Row], tally: Tally) -> None:
    """Let a table of levels, or a forecast, stand alone: what the file leaves out goes."""
    forecast = [row for row in taken if row.get("is_forecast")]
    gone = 0
    if kind.name == "levels" and taken:
        gone = load.keep_only(taken)
    elif forecast:
        gone = load.keep_only(forecast, forecast=True)
    if gone:
        tally.notes.append(f"{gone:,} rows of an older table were taken away.")


def _check_rivers(session: Session, file_name: str) -> None:
    """Raise if the levels that are now kept are no river's."""
    try:
        known_rivers(session)
    except RangeError as wrong:
        raise FileError(f"{file_name} is not taken: {wrong}.") from wrong
