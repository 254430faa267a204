"""Taking in reports of visits that other firms made, by file or one by one.

A report that is taken in is a visit like any other: what was done counts, and due dates move by the
same rules. Only whole reports that pass every check come in; the others are named with what to do.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from itertools import chain

from registry.errors import Complaint, ConflictError, FileError, RowError
from registry.imports.cells import Fault
from registry.imports.opening import opened
from registry.imports.report_rows import REPORTS_NEED, given_report, report_fields
from registry.imports.rows import RowReader, Rows
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.reports_in import CameBy, GivenReport
from registry.services.import_map import map_of
from registry.services.import_outcome import (
    ImportOutcome,
    ImportRequest,
    Tally,
    finished,
    rejects_of,
)
from registry.services.report_desk import Checked, ReportDesk
from registry.services.write_reports import ReportWriter
from registry.store import Session, names
from registry.store.locks import lock_site
from registry.store.scope import Scope, scope_of

ACT = "take in reports"
KIND = "reports"


def import_reports(session: Session, request: ImportRequest, today: date) -> ImportOutcome:
    """Take in a file of reports: good rows come in, the others are kept in a file of rejects.

    Raises
    ------
    FileError, ConfigError
        If the file as a whole or its column map cannot be used; nothing is written then.
    """
    return _take_in_file(session, request, _jurisdiction(session, request.jurisdiction), today)


def take_in_file(
    session: Session, viewer: Viewer, request: ImportRequest, today: date
) -> ImportOutcome:
    """Take in a file of reports of the viewer's jurisdictions.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    FileError, ConfigError
        As ``import_reports``.
    """
    require(viewer, ACT)
    return _take_in_file(session, request, scope_of(viewer), today)


def _take_in_file(
    session: Session, request: ImportRequest, scope: Scope, today: date
) -> ImportOutcome:
    tally = Tally()
    desk = ReportDesk(session, scope, today)
    units = {one.code: one.unit for one in desk.kinds.values()}
    fields = report_fields(desk.kinds.values())
    writer = ReportWriter(
        session=session,
        who=request.who,
        now=request.now,
        came_by=CameBy.FILE,
        source=request.path.name,
    )
    with opened(request.path, request.reading) as source:
        sheets = source.sheets()
        first = next(sheets)
        mapped = map_of(request, KIND, fields, REPORTS_NEED, source, first, tally)
        reader = RowReader(source.name, fields, mapped)
        with rejects_of(source, request) as rejects:
            for sheet in chain([first], sheets):
                rows = reader.read(sheet)
                good = rows.good()
                given = [given_report(rows, i, desk.kinds) for i in good]
                checked = []
                for i, found in zip(good, desk.check(given), strict=True):
                    if isinstance(found, Checked):
                        checked.append(found)
                    else:
                        _fault(rows, i, found, mapped.columns)
                writer.put(checked, units)
                rejects.add_broken(sheet)
                rejects.add(rows, dict.fromkeys(rows.faults, ""))
                tally.count(["unchanged" if one.is_known else "added" for one in checked])
                tally.read += len(sheet) + len(sheet.broken)
                request.progress(tally.read, source.rows)
            tally.touched += sorted(writer.touched)
            tally.notes[:0] = source.notes
            return finished(session, KIND, request, tally, rejects)


def take_in_report(
    session: Session, viewer: Viewer, given: GivenReport, today: date, now: datetime
) -> tuple[str, int]:
    """Take in one report as it was typed in; return the visit's id and the site's.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    RowError
        If anything keeps it from being taken; all of it is said.
    ConflictError
        If it was taken in before.
    """
    require(viewer, ACT)
    desk = ReportDesk(session, scope_of(viewer), today)
    (found,) = desk.check([given])
    if not isinstance(found, Checked):
        raise RowError([Complaint("The report", 1, *one) for one in found])
    if found.is_known:
        raise ConflictError("This report was taken in before. Nothing was changed.")
    lock_site(session, found.known.site_id)
    writer = ReportWriter(session=session, who=viewer.name, now=now, came_by=CameBy.FORM)
    writer.put([found], {one.code: one.unit for one in desk.kinds.values()})
    return found.visit_id, found.known.site_id


def _jurisdiction(session: Session, name: str) -> Scope:
    known = names.jurisdiction_ids(session)
    if not name and len(known) != 1:
        raise FileError(
            "Say whose reports these are with --jurisdiction. Known: " + ", ".join(known) + "."
        )
    if name and name not in known:
        raise FileError(f"There is no jurisdiction {name}. Known: {', '.join(known)}.")
    return Scope(None, (known[name] if name else next(iter(known.values())),))


def _fault(
    rows: Rows, i: int, wrongs: Sequence[tuple[str, str, str]], columns: Mapping[str, str]
) -> None:
    for name, wrong, remedy in wrongs:
        rows.fault(i, columns.get(name, name), Fault(wrong, remedy))
