"""Importing a flood layer: flood hazard areas from polygons, base flood elevations from lines."""

from dataclasses import replace

from registry.errors import FileError
from registry.imports.flood_rows import FloodReader
from registry.imports.opening import opened
from registry.services.import_outcome import (
    ImportOutcome,
    ImportRequest,
    Tally,
    finished,
    rejects_of,
)
from registry.store import Session
from registry.store.flood_load import FloodLoad

SHEET_ROWS = 2_000
"""Flood polygons are large: fewer at a time than other rows."""


def import_flood(session: Session, request: ImportRequest) -> ImportOutcome:
    """Bring a flood layer into the registry; records that cannot be taken are kept for mending.

    Flood facts of sites are not worked out here: see ``flag_sites``.

    Raises
    ------
    FileError
        If the file cannot be used, or does not say what its polygons or lines are.
    """
    tally = Tally()
    limits = replace(request.reading.limits, sheet_rows=SHEET_ROWS)
    with opened(request.path, replace(request.reading, limits=limits)) as source:
        if not source.has_geometry:
            raise FileError(f"{source.name} is a table without geometry, no flood layer.")
        reader = FloodReader(source, request.zone.strip().upper(), request.crs)
        load = FloodLoad(session, request.author)
        with rejects_of(source, request) as rejects:
            for sheet in source.sheets():
                taken = reader.read(sheet)
                rejects.add_broken(sheet)
                rejects.add(taken.rows, taken.rejected)
                tally.count(load.put_areas(taken.areas))
                tally.count(load.put_lines(taken.lines, taken.line_attributes))
                tally.read += len(sheet) + len(sheet.broken)
                request.progress(tally.read, source.rows)
            tally.notes += [*source.notes, *reader.notes]
            tally.warnings += reader.warnings()
            return finished(session, "flood", request, tally, rejects)
