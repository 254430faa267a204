"""Taking in reports of visits that other firms made, by file or one by one, and taking them back.

A report that is taken in is a visit like any other: what was done counts, and due dates move by the
same rules. Only whole reports that pass every check come in; the others are named with what to do.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from itertools import chain
from uuid import UUID, uuid5

from registry.due.report_rules import mend_rule
from registry.errors import Complaint, ConflictError, FileError, NotFoundError, RangeError, RowError
from registry.field.findings import FINDINGS, follow_up_on
from registry.imports.cells import Fault
from registry.imports.opening import opened
from registry.imports.report_rows import REPORTS_NEED, given_report, report_fields
from registry.imports.rows import RowReader, Rows
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.gate_visit import NOTE, Finding
from registry.records.places import Jurisdiction
from registry.records.reports import FindingMended, ReportRule, ReportSent, ReportTo, SentBy
from registry.records.reports_in import CameBy, GivenReport, ReportIn
from registry.records.visits import Reading, VisitRecord
from registry.services.import_map import map_of
from registry.services.import_outcome import (
    ImportOutcome,
    ImportRequest,
    Tally,
    finished,
    rejects_of,
)
from registry.services.report_desk import Checked, ReportDesk, reading_value
from registry.store import (
    Session,
    gate_visits,
    names,
    places,
    reports,
    reports_in,
    rules,
    visits,
)
from registry.store.import_runs import ImportRun, import_run, import_runs, note_undone
from registry.store.locks import lock_site
from registry.store.scope import Scope, scope_of

ACT = "take in reports"
KIND = "reports"
MENDED = "report of"
"""How the notes begin that a report makes of what is mended."""
LONGEST_WHY = 200


@dataclass(kw_only=True)
class _Writer:
    """Writes checked reports into the store."""

    session: Session
    who: str
    now: datetime
    came_by: CameBy
    source: str = ""
    touched: set[int] = field(default_factory=set)
    _asked: list[ReportRule] = field(init=False)
    _places: dict[int, Jurisdiction] = field(init=False)

    def __post_init__(self) -> None:
        """Read the rules on reports once."""
        self._asked = rules.report_rules(self.session)
        self._places = {one.id: one for one in places.jurisdictions(self.session)}

    def put(self, checked: Sequence[Checked], units: dict[str, str]) -> None:
        """Store the visits of reports, and that the authority has them."""
        new = [one for one in checked if not one.is_known]
        found = [self._findings(one) for one in new]
        visits.add_visits(
            self.session,
            [self._visit(one, findings, units) for one, findings in zip(new, found, strict=True)],
        )
        gate_visits.add_findings(self.session, [each for one in found for each in one])
        reports_in.add_reports_in(self.session, [self._report(one) for one in new])
        for one in new:
            self._note(one)
        self.touched |= {one.known.site_id for one in new}

    def _visit(
        self, one: Checked, findings: Sequence[Finding], units: dict[str, str]
    ) -> VisitRecord:
        given = one.given
        owed = any(each.follow_up_on for each in findings)
        return VisitRecord(
            id=one.visit_id,
            site_id=one.known.site_id,
            on_date=_day(given),
            technician=one.person or one.firm,
            outcome="follow-up owed" if owed else "in order",
            done=tuple((one.known.system_id, task) for task in given.tasks),
            recorded_by=self.who,
            recorded_at=self.now,
            readings=tuple(self._reading(one, kind, text, units) for kind, text in _read(given)),
        )

    def _reading(self, one: Checked, kind: str, text: str, units: dict[str, str]) -> Reading:
        value, words = reading_value(text)
        return Reading(
            id=str(uuid5(_ids(one), kind)),
            visit_id=one.visit_id,
            site_id=one.known.site_id,
            system_id=one.known.system_id,
            component_id=one.at.get(kind),
            kind=kind,
            value=value,
            text=words,
            unit="" if value is None else units.get(kind, ""),
            read_on=_day(one.given),
            answer=one.given.answer,
        )

    def _findings(self, one: Checked) -> list[Finding]:
        given = one.given
        place = self._places[one.known.jurisdiction_id]
        made = []
        for kind in given.findings:
            seriousness = given.seriousness or FINDINGS[kind].seriousness
            rule = mend_rule(self._asked, place.rule_set, seriousness)
            by_rule = rule and rule.mend_days is not None
            made.append(
                Finding(
                    id=str(uuid5(_ids(one), f"finding {kind}")),
                    visit_id=one.visit_id,
                    site_id=one.known.site_id,
                    system_id=one.known.system_id,
                    kind=kind,
                    seriousness=seriousness,
                    note=given.finding_note,
                    follow_up_on=_day(given) + timedelta(days=rule.mend_days or 0)
                    if rule and by_rule and seriousness != NOTE
                    else follow_up_on(seriousness, _day(given)),
                )
            )
        return made

    def _report(self, one: Checked) -> ReportIn:
        return ReportIn(
            visit_id=one.visit_id,
            site_id=one.known.site_id,
            on_date=_day(one.given),
            firm=one.firm,
            person=one.person,
            licence=one.given.licence,
            received_on=one.given.received_on or _day(one.given),
            came_by=self.came_by,
            source=self.source,
            taken_in_by=self.who,
            taken_in_at=self.now,
        )

    def _note(self, one: Checked) -> None:
        reports.add_sent(
            self.session,
            ReportSent(
                visit_id=one.visit_id,
                to=ReportTo.AUTHORITY,
                sent_on=one.given.received_on or _day(one.given),
                how=SentBy.PORTAL if self.came_by is CameBy.FILE else SentBy.BY_HAND,
                noted_by=self.who,
                noted_at=self.now,
            ),
        )
        for finding in one.mends:
            reports.add_mended(
                self.session,
                FindingMended(
                    finding_id=finding.id,
                    mended_on=_day(one.given),
                    note=_mended_note(one.visit_id),
                    noted_by=self.who,
                    noted_at=self.now,
                ),
            )


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
    writer = _Writer(
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
    writer = _Writer(session=session, who=viewer.name, now=now, came_by=CameBy.FORM)
    writer.put([found], {one.code: one.unit for one in desk.kinds.values()})
    return found.visit_id, found.known.site_id


def take_back_reports(
    session: Session, viewer: Viewer, visit_ids: Collection[str], why: str, now: datetime
) -> list[int]:
    """Take reports back: their visits stand no more, what they had mended waits again.

    Everything stays in the store. Return the sites that were touched.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    NotFoundError
        If one is no report that came in, or not the viewer's.
    RangeError
        If the reason is too long.
    ConflictError
        If one was taken back before.
    """
    require(viewer, ACT)
    if len(why) > LONGEST_WHY:
        raise RangeError(f"Write the reason in at most {LONGEST_WHY} letters.")
    found = reports_in.reports_in_of(session, visit_ids=visit_ids)
    seen = {one.visit_id for one in reports_in.reports_in(session, scope_of(viewer))}
    if len(found) != len(set(visit_ids)) or any(one.visit_id not in seen for one in found):
        raise NotFoundError("There is no such report, or it is not for your sign-in.")
    if any(one.taken_back_at is not None for one in found):
        raise ConflictError("This report was taken back before. Nothing was changed.")
    for one in found:
        lock_site(session, one.site_id)
        _take_back_notes(session, viewer, one, now)
    reports_in.take_back(session, [one.visit_id for one in found], viewer.name, why.strip(), now)
    return sorted({one.site_id for one in found})


def runs_of(session: Session, viewer: Viewer, limit: int = 20) -> list[ImportRun]:
    """Return the last files of reports that came in to what a viewer sees, newest first.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    """
    require(viewer, ACT)
    came = {
        (one.taken_in_at, one.source) for one in reports_in.reports_in(session, scope_of(viewer))
    }
    runs = [one for one in import_runs(session, 10 * limit) if one.kind == KIND]
    return [one for one in runs if (one.at, one.file_name) in came][:limit]


def take_back_run(
    session: Session, viewer: Viewer, run_id: int, now: datetime | None
) -> tuple[ImportRun, int, list[int]]:
    """Take all reports of one file back; return the import, how many, and the sites touched.

    Those that were taken back alone before are left out. ``now`` None = only say what
    would be done.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    NotFoundError
        If there is no such import, or nothing of it is the viewer's.
    RangeError
        If it was taken back before.
    """
    require(viewer, ACT)
    run = import_run(session, run_id)
    came = reports_in.reports_in(session, scope_of(viewer), run=(run.at, run.file_name))
    if run.kind != KIND or not came:
        raise NotFoundError("There are no such reports, or they are not for your sign-in.")
    ids = [one.visit_id for one in came if one.taken_back_at is None]
    if not ids:
        raise RangeError(f"The reports of {run.file_name} were taken back already.")
    if now is None:
        return run, len(ids), []
    touched = take_back_reports(session, viewer, ids, f"import {run.id} taken back", now)
    note_undone(session, run.id, now, viewer.name)
    return run, len(ids), touched


def _take_back_notes(session: Session, viewer: Viewer, one: ReportIn, now: datetime) -> None:
    """Take back the readings of a report and what it noted as mended."""
    (visit,) = visits.visits_with_ids(session, [one.visit_id])
    gone = [
        replace(
            reading,
            id=f"{reading.id}-back",
            value=None,
            text="",
            note="taken back",
            supersedes=reading.id,
        )
        for reading in visit.readings
    ]
    visits.add_readings(session, gone)
    findings = [each.id for each in gate_visits.findings_of_sites(session, [one.site_id])]
    for note in reports.mended_in_force(session, findings).values():
        if note.note == _mended_note(one.visit_id):
            reports.add_mended(
                session,
                replace(note, note="", noted_by=viewer.name, noted_at=now, takes_back=note.id),
            )


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


def _day(given: GivenReport) -> date:
    if given.on_date is None:  # the desk has refused it
        raise RangeError("Give the day of the visit.")
    return given.on_date


def _read(given: GivenReport) -> list[tuple[str, str]]:
    return sorted(given.readings.items())


def _ids(one: Checked) -> UUID:
    """Return the name space of what hangs on a report's visit."""
    return UUID(one.visit_id)


def _mended_note(visit_id: str) -> str:
    return f"{MENDED} {visit_id}"
