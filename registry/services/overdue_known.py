"""What stands behind an overdue system: rules, letters written, reports, the last finding."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from registry.privacy import for_role, require
from registry.records.changes import Viewer
from registry.records.due_rows import DueMark
from registry.records.reports import ReportState, ReportTo
from registry.records.work import Obligation
from registry.services.see_reports import reports_of_visits
from registry.services.seen_site import seen_site
from registry.store import Session, gate_visits, known, obligations, overdue, places, rules, systems
from registry.store.scope import scope_of

ACT = "see the county map"


@dataclass(frozen=True, slots=True, kw_only=True)
class Owes:
    """One task of a system: when it is due, and which rule says so."""

    task: str
    due_on: date | None
    days_overdue: int | None
    estimated: bool
    citation: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OverdueKnown:
    """What an authority may know of one system.

    ``citation`` is of the rule that set the date of its mark, ``owes`` all its tasks, the first due
    first. ``letters`` are the days on which the owner was written to, the last first.
    ``n_received`` reports came in, the last on ``received_on``; ``missing`` are the days by which
    others should have. ``finding`` is the newest.
    """

    citation: str = ""
    owes: tuple[Owes, ...] = ()
    letters: tuple[date, ...] = ()
    n_received: int = 0
    received_on: date | None = None
    missing: tuple[date, ...] = ()
    finding: str = ""

    @property
    def n_letters(self) -> int:
        """How many letters the owner was written."""
        return len(self.letters)

    @property
    def last_letter_on(self) -> date | None:
        """When the last one was written."""
        return self.letters[0] if self.letters else None


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteKnown:
    """One site of the map with its systems and what stands behind each; ``place`` is its address.

    ``permits`` are number and status by system, ``tasks`` the names of tasks by code.
    """

    site_id: int
    site: str
    place: str
    jurisdiction: str
    firm: str
    marks: tuple[DueMark, ...]
    known: dict[int, OverdueKnown]
    permits: dict[int, tuple[str, str]]
    tasks: dict[str, str]


def overdue_known(
    session: Session, viewer: Viewer, marks: Sequence[DueMark], on_date: date
) -> dict[int, OverdueKnown]:
    """Return by system what is known of the systems of one page of a list."""
    site_ids = {one.site_id for one in marks}
    owed: dict[int, list[Obligation]] = defaultdict(list)
    for raw in obligations.obligations_of_sites(session, site_ids):
        owed[raw.system_id].append(for_role(raw, viewer.role))
    letters = known.letter_days(session, site_ids)
    findings: dict[int, str] = {}
    for finding in gate_visits.findings_of_sites(session, site_ids):
        one = for_role(finding, viewer.role)
        findings.setdefault(one.site_id, ", ".join(filter(None, (one.kind, one.seriousness))))
    states = _states(session, viewer, site_ids, on_date)
    found = {}
    for mark in marks:
        owes = owed[mark.system_id]
        rule = next((one for one in owes if one.task == mark.task), None)
        received, missing = _reports(states[mark.site_id])
        found[mark.system_id] = OverdueKnown(
            citation=_citation(rule) if rule else "",
            owes=tuple(_owes(one, on_date) for one in sorted(owes, key=_first_due)),
            letters=letters.get(mark.site_id, ()),
            n_received=len(received),
            received_on=max(received, default=None),
            missing=missing,
            finding=findings.get(mark.site_id, ""),
        )
    return found


def site_known(session: Session, viewer: Viewer, site_id: int, on_date: date) -> SiteKnown:
    """Return what is known of the systems of one site, overdue or not.

    Raises
    ------
    AccessError
        If the role may not see the county map.
    NotFoundError
        If there is no such site, or it is not the viewer's: both are answered alike.
    """
    require(viewer, ACT)
    site = for_role(seen_site(session, viewer, site_id), viewer.role)
    marks = overdue.marks_of_site(session, scope_of(viewer), site_id, on_date)
    return SiteKnown(
        site_id=site.id,
        site=site.key,
        place=", ".join(filter(None, (site.address, site.town))),
        jurisdiction=places.jurisdiction(session, site.jurisdiction_id).name,
        firm=places.firm(session, site.firm_id).name,
        marks=tuple(marks),
        known=overdue_known(session, viewer, marks, on_date),
        permits={
            one.id: (one.permit_no, one.permit_status)
            for one in systems.systems_of_site(session, site_id)
        },
        tasks={one.code: one.name for one in rules.task_kinds(session)},
    )


def _states(
    session: Session, viewer: Viewer, site_ids: Iterable[int], on_date: date
) -> dict[int, list[ReportState]]:
    """Return by site how its reports to the authority stand."""
    made = known.visits_that_report(session, site_ids)
    found: dict[int, list[ReportState]] = defaultdict(list)
    for visit_id, states in reports_of_visits(session, viewer, made, on_date).items():
        found[made[visit_id]] += [one for one in states if one.to is ReportTo.AUTHORITY]
    return found


def _reports(states: Iterable[ReportState]) -> tuple[list[date], tuple[date, ...]]:
    received, missing = [], []
    for one in states:
        if one.sent is not None:
            received.append(one.sent.sent_on)
        elif one.is_overdue and one.deadline.on_date is not None:
            missing.append(one.deadline.on_date)
    return received, tuple(sorted(missing))


def _owes(one: Obligation, on_date: date) -> Owes:
    return Owes(
        task=one.task,
        due_on=one.due_on,
        days_overdue=None if one.due_on is None else (on_date - one.due_on).days,
        estimated=one.estimated,
        citation=_citation(one),
    )


def _citation(one: Obligation) -> str:
    return one.source or one.rule_code


def _first_due(one: Obligation) -> tuple[bool, date]:
    return one.due_on is None, one.due_on or date.max
