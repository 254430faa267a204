"""What is on file for reports that come in: whose system each is about, and what it is held to."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID, uuid5

from registry.field.findings import FINDINGS
from registry.field.last_readings import last_readings
from registry.field.reading_checks import Last
from registry.field.report_checks import ALL, ReportPlace, report_wrongs
from registry.imports.report_rows import in_words
from registry.imports.visit_rows import corrected
from registry.records.gate_visit import Finding
from registry.records.reading_kinds import ReadingKind
from registry.records.reports_in import GivenReport, Licensed, ReportIn, Wrong
from registry.records.systems import Component
from registry.records.visits import Reading, VisitRecord
from registry.store import Session, gate_visits, reports, reports_in, rules, systems, visits
from registry.store.scope import Scope

REPORTS = UUID("0f5b7a52-4c0f-5d3e-8f0b-5a1d3c9f7e64")
"""Name space of the ids of visits that reports tell of; any number of our own."""
_WHICH = "Give the number of the site, or the permit of the system"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The system that a report is about, as the authority may know it."""

    site_id: int
    site: str
    jurisdiction_id: int
    system_id: int
    system: str
    permit_no: str
    installed_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A report that can be taken: its system, its visit's id, firm and person by the list.

    ``is_known``: it was taken in before. ``mends`` are the findings that it says are mended.
    ``at`` are the components of the readings, by kind.
    """

    given: GivenReport
    known: Known
    visit_id: str
    firm: str
    person: str
    is_known: bool
    mends: tuple[Finding, ...]
    at: Mapping[str, int | None]


class ReportDesk:
    """Checks reports against the registry, some at a time."""

    def __init__(self, session: Session, scope: Scope, today: date) -> None:
        """Read what all reports are held to."""
        self._session, self._scope, self._today = session, scope, today
        self.tasks = {one.code: one for one in rules.task_kinds(session) if one.code != "arrival"}
        self.kinds: dict[str, ReadingKind] = rules.reading_kinds(session)
        self._words = (*self.tasks, *FINDINGS, ALL)

    def check(self, given: Sequence[GivenReport]) -> list[Checked | list[Wrong]]:
        """Return for each report that it can be taken, or all that keeps it from it."""
        spelled = [in_words(one, self._words) for one in given]
        file = _File(self._session, self._scope, spelled, self._today)
        done: list[Checked | list[Wrong]] = []
        before: dict[str, GivenReport] = {}
        for one in spelled:
            found = self._one(one, file)
            if isinstance(found, Checked):
                twin = before.setdefault(found.visit_id, one)
                if twin is not one:
                    found = self._twin(found, twin)
            done.append(found)
        return done

    def _twin(self, found: Checked, twin: GivenReport) -> Checked | list[Wrong]:
        if _says(found.given) == _says(twin):
            return replace(found, is_known=True)
        return [Wrong("date", "another row tells of the same visit otherwise", "Keep one of them")]

    def _one(self, given: GivenReport, file: "_File") -> Checked | list[Wrong]:
        known = file.system_of(given)
        if isinstance(known, Wrong):
            return [known]
        if given.on_date is None:
            return report_wrongs(given, ReportPlace(), self._today)
        visit_id, standing = file.visit_of(given, known)
        licences = file.licences(given, known)
        parts = file.parts[known.system_id]
        at = {one: _part(self.kinds.get(one), parts) for one in given.readings}
        waits = [one for one in file.open_at(known.site_id) if one.visit_id != visit_id]
        there = [one for one in file.visits[known.site_id] if one.id != visit_id]
        place = ReportPlace(
            installed_on=known.installed_on,
            visited_on=max((one.on_date for one in there), default=None),
            is_on_file=file.has_other(there, given, known),
            licences=licences,
            tasks=self.tasks,
            kinds=self.kinds,
            last=_last(there, given.on_date, known.system_id, at),
            open_findings=[one.kind for one in waits],
        )
        if standing is not None and _says(given) == file.said_by(standing):
            wrongs = []
        elif standing is not None:
            wrongs = [
                Wrong(
                    "date",
                    "the report of this visit was taken in before, with other words or values",
                    "Take that one back first, if this one is right",
                )
            ]
        else:
            wrongs = report_wrongs(given, place, self._today)
        if wrongs:
            return wrongs
        valid = next((one for one in licences if one.is_valid_on(given.on_date)), None)
        return Checked(
            given=replace(given, received_on=given.received_on or self._today),
            known=known,
            visit_id=visit_id,
            firm=given.firm or (valid.firm if valid else "") or (valid.person if valid else ""),
            person=given.person or (valid.person if valid else ""),
            is_known=standing is not None,
            mends=tuple(one for one in waits if ALL in given.mended or one.kind in given.mended),
            at=at,
        )


class _File:
    """What the registry holds about the systems of some reports."""

    def __init__(
        self, session: Session, scope: Scope, given: Iterable[GivenReport], today: date
    ) -> None:
        listed = list(given)
        rows = reports_in.sites_with(
            session,
            scope,
            {one.site for one in listed if one.site},
            {one.permit_no for one in listed if one.permit_no},
        )
        self._systems = [
            Known(
                site_id=row[0],
                site=row[1],
                jurisdiction_id=row[2],
                system_id=row[3],
                system=row[4],
                permit_no=row[5],
                installed_on=row[6],
            )
            for row in rows
        ]
        site_ids = {one.site_id for one in self._systems}
        self.parts: dict[int, list[Component]] = defaultdict(list)
        for part in systems.components_of_systems(
            session, {one.system_id for one in self._systems}
        ):
            self.parts[part.system_id].append(part)
        self.visits: dict[int, list[VisitRecord]] = defaultdict(list)
        for visit in visits.visits_of_sites(session, site_ids):
            self.visits[visit.site_id].append(visit)
        self._in = {
            one.visit_id: one for one in reports_in.reports_in_of(session, site_ids=site_ids)
        }
        self._licences: dict[str, list[Licensed]] = defaultdict(list)
        for licence in reports_in.licensed(session, {one.licence for one in listed if one.licence}):
            self._licences[licence.number].append(licence)
        self._open: dict[int, list[Finding]] = defaultdict(list)
        for finding, _ in reports.open_findings(session, scope, today, site_ids):
            self._open[finding.site_id].append(finding)
        self._found: dict[str, set[str]] = defaultdict(set)
        for finding in gate_visits.findings_of_sites(session, site_ids):
            self._found[finding.visit_id].add(finding.kind)

    def system_of(self, given: GivenReport) -> Known | Wrong:
        """Return the system that a report is about."""
        field, said = ("site", given.site) if given.site else ("permit_no", given.permit_no)
        if not said:
            return Wrong("site", "neither site nor permit_no is given", _WHICH)
        fits = [one for one in self._systems if not given.site or one.site == given.site]
        fits = [one for one in fits if not given.permit_no or one.permit_no == given.permit_no]
        if given.system:
            fits = [one for one in fits if one.system == given.system]
        if len(fits) == 1:
            return fits[0]
        if not fits:
            return Wrong(
                field,
                f"there is no such system in the jurisdiction: {said}",
                f"Correct it. {_WHICH}",
            )
        return Wrong(
            field,
            f"{len(fits)} systems answer to {said}",
            "Give the permit of the system beside the number of the site, or its system",
        )

    def visit_of(self, given: GivenReport, known: Known) -> tuple[str, ReportIn | None]:
        """Return the id of a report's visit, and the report that stands under it already."""
        name = f"{known.site_id}\n{known.system}\n{given.on_date}\n{given.licence.casefold()}"
        root = visit_id = str(uuid5(REPORTS, name))
        times = 0
        while visit_id in self._in and self._in[visit_id].taken_back_at is not None:
            times += 1
            visit_id = corrected(root, times)
        return visit_id, self._in.get(visit_id)

    def licences(self, given: GivenReport, known: Known) -> list[Licensed]:
        """Return the licences of the number given that hold in the site's jurisdiction."""
        here = {None, known.jurisdiction_id}
        return [one for one in self._licences[given.licence] if one.jurisdiction_id in here]

    def open_at(self, site_id: int) -> list[Finding]:
        """Return the findings of a site that wait to be mended."""
        return self._open[site_id]

    def has_other(self, there: Iterable[VisitRecord], given: GivenReport, known: Known) -> bool:
        """Tell whether a visit of the day is on file that is no report of the same system's."""
        for one in there:
            other = self._in.get(one.id)
            same_system = any(system_id == known.system_id for system_id, _ in one.done)
            if one.on_date == given.on_date and (other is None or same_system):
                return True
        return False

    def said_by(self, report: ReportIn) -> tuple[object, ...]:
        """Return what a report that was taken in says, as ``_says`` does."""
        visit = next(one for one in self.visits[report.site_id] if one.id == report.visit_id)
        readings = {one.kind: one.text or one.value for one in visit.readings}
        done = {task for _, task in visit.done}
        return done, readings, self._found[visit.id]


def _says(given: GivenReport) -> tuple[object, ...]:
    readings = {}
    for kind, text in given.readings.items():
        value, words = reading_value(text)
        readings[kind] = words or value
    return set(given.tasks), readings, set(given.findings)


def reading_value(text: str) -> tuple[float | None, str]:
    """Return what was read as number and text: one of the two is empty."""
    try:
        return float(text), ""
    except ValueError:
        return None, text


def _part(kind: ReadingKind | None, parts: Iterable[Component]) -> int | None:
    """Return the only component at which a kind is read, None where there are several or none."""
    fits = [one.id for one in parts if kind is not None and one.kind.value in kind.at]
    return fits[0] if len(fits) == 1 else None


def _last(
    there: Iterable[VisitRecord], day: date, system_id: int, at: Mapping[str, int | None]
) -> dict[str, Last]:
    """Return the last readings of a system before a day, by kind."""
    before: list[Reading] = [
        reading for one in there if one.on_date <= day for reading in one.readings
    ]
    found = {}
    for kind, each in last_readings(before).items():
        for one in each:
            same_part = one.last.component_id == at.get(kind)
            if one.last.system_id == system_id and same_part and one.last.value is not None:
                found[kind] = Last(value=one.last.value, on=one.last.read_on, unit=one.last.unit)
    return found
