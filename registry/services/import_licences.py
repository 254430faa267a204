"""Bringing in an authority's list of who is licensed."""

from collections.abc import Mapping
from itertools import chain

from registry.errors import FileError
from registry.imports.cells import Fault
from registry.imports.opening import opened
from registry.imports.report_rows import LICENCES, LICENCES_NEED, licensed_row
from registry.imports.rows import RowReader, Rows
from registry.records.reports_in import Licensed
from registry.services.import_map import map_of
from registry.services.import_outcome import (
    ImportOutcome,
    ImportRequest,
    Tally,
    finished,
    rejects_of,
)
from registry.store import Session, names, reports_in

KIND = "licences"


def import_licences(session: Session, request: ImportRequest) -> ImportOutcome:
    """Bring a list of licences in: by number, added or brought up to date; none goes.

    A licence that ended stays on the list with its last day: reports of visits before it count.

    Raises
    ------
    FileError, ConfigError
        If the jurisdiction named is not known, or the file or its column map cannot be used.
    """
    known = names.jurisdiction_ids(session)
    default = request.jurisdiction or (next(iter(known)) if len(known) == 1 else "")
    if request.jurisdiction and request.jurisdiction not in known:
        raise FileError(
            f"There is no jurisdiction {request.jurisdiction}. Known: {', '.join(known)}."
        )
    tally = Tally()
    with opened(request.path, request.reading) as source:
        sheets = source.sheets()
        first = next(sheets)
        mapped = map_of(request, KIND, LICENCES, LICENCES_NEED, source, first, tally)
        reader = RowReader(source.name, LICENCES, mapped)
        with rejects_of(source, request) as rejects:
            for sheet in chain([first], sheets):
                rows = reader.read(sheet)
                for i in rows.good():
                    one = _licence(rows, i, known, default)
                    if one is not None:
                        tally.count([reports_in.put_licensed(session, one, request.author)])
                rejects.add_broken(sheet)
                rejects.add(rows, dict.fromkeys(rows.faults, ""))
                tally.read += len(sheet) + len(sheet.broken)
                request.progress(tally.read, source.rows)
            tally.notes[:0] = source.notes
            return finished(session, KIND, request, tally, rejects)


def _licence(rows: Rows, i: int, known: Mapping[str, int], default: str) -> Licensed | None:
    """Return the licence of a row, None where something is wrong with it."""
    place = (rows.values["jurisdiction"][i] if "jurisdiction" in rows.values else "") or default
    if not rows.values["number"][i]:
        rows.fault(i, "number", Fault("it is empty", "Give the licence's number"))
    elif place not in known:
        wrong = f"there is no jurisdiction {place}" if place else "no jurisdiction is named"
        remedy = f"Name one with --jurisdiction or in the row: {', '.join(known)}"
        rows.fault(i, "jurisdiction", Fault(wrong, remedy))
    else:
        one = licensed_row(rows, i, known[place])
        if not (one.valid_from and one.valid_to and one.valid_to < one.valid_from):
            return one
        rows.fault(i, "valid_to", Fault("it ends before it begins", "Correct one of the days"))
    return None
