"""Importing layers of parcels or address points, by which sites without a position are located."""

from itertools import chain

from registry.imports.column_map import ColumnMap, read_map, require_columns
from registry.imports.fields import PLACES
from registry.imports.guess import guess
from registry.imports.opening import opened
from registry.imports.place_rows import PlaceReader
from registry.imports.sheet import Sheet, Source
from registry.records.known_places import KnownPlace
from registry.services.import_outcome import (
    ImportOutcome,
    ImportRequest,
    Tally,
    finished,
    rejects_of,
)
from registry.store import Session, known_places


def import_places(session: Session, request: ImportRequest) -> ImportOutcome:
    """Let a layer of parcels or address points be what sites are located by.

    Places of the same file that are no longer in it go; sites that were located by them stay.

    Raises
    ------
    FileError, ConfigError
        If the file cannot be used, or has neither parcel numbers nor addresses.
    """
    tally = Tally()
    places: list[KnownPlace] = []
    with opened(request.path, request.reading) as source:
        sheets = source.sheets()
        first = next(sheets)
        mapped = _map(request, source, first, tally)
        crs = request.crs or mapped.crs
        reader = PlaceReader(source, mapped, crs, request.accuracy_m, tally.notes)
        taken = 0
        with rejects_of(source, request) as rejects:
            for sheet in chain([first], sheets):
                found = reader.read(sheet)
                rejects.add_broken(sheet)
                rejects.add(found.rows, found.rejected)
                places += found.places
                taken += found.taken
                tally.read += len(sheet) + len(sheet.broken)
                request.progress(tally.read, source.rows)
            tally.notes[:0] = source.notes
            new, gone = known_places.put_places(session, source.name, places)
            tally.added = min(new, taken)
            tally.unchanged = taken - tally.added
            if gone:
                tally.notes.append(f"{gone:,} places of this file's last import are gone.")
            return finished(session, "parcels", request, tally, rejects)


def _map(request: ImportRequest, source: Source, first: Sheet, tally: Tally) -> ColumnMap:
    if request.map_path is not None:
        mapped = read_map(request.map_path, PLACES)
        require_columns(mapped, source.columns, source.name)
        return mapped
    guessed = guess(first, source.columns, PLACES, keyed=False)
    tally.notes += guessed.told()
    return guessed.map
