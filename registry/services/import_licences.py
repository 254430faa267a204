"""Bringing in an authority's list of who is licensed."""

from itertools import chain

from registry.errors import FileError
from registry.imports.cells import Fault
from registry.imports.opening import opened
from registry.imports.report_rows import LICENCES, LICENCES_NEED, licensed_row
from registry.imports.rows import RowReader
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
        If the jurisdiction is not known, or the file or its column map cannot be used.
    """
    known = names.jurisdiction_ids(session)
    name = request.jurisdiction or next(iter(known), "")
    if name not in known or (not request.jurisdiction and len(known) > 1):
        raise FileError(
            f"Say whose list this is with --jurisdiction. Known: {', '.join(known) or 'none'}."
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
                    one = licensed_row(rows, i, known[name]) if rows.values["number"][i] else None
                    if one is None:
                        rows.fault(i, "number", Fault("it is empty", "Give the licence's number"))
                    elif one.valid_from and one.valid_to and one.valid_to < one.valid_from:
                        fault = Fault("it ends before it begins", "Correct one of the days")
                        rows.fault(i, "valid_to", fault)
                    else:
                        tally.count([reports_in.put_licensed(session, one, request.author)])
                rejects.add_broken(sheet)
                rejects.add(rows, dict.fromkeys(rows.faults, ""))
                tally.read += len(sheet) + len(sheet.broken)
                request.progress(tally.read, source.rows)
            tally.notes[:0] = source.notes
            return finished(session, KIND, request, tally, rejects)
