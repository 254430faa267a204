"""Reports still owed, findings to be mended, and how the reports of a visit stand."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from registry.due.report_rules import mend_rule, report_deadline
from registry.errors import NotFoundError
from registry.privacy import for_role, require
from registry.records.changes import Role, Viewer
from registry.records.gate_visit import Finding
from registry.records.places import Jurisdiction
from registry.records.reports import (
    Deadline,
    FindingOpen,
    ReportOwed,
    ReportRule,
    ReportSent,
    ReportState,
    ReportTo,
)
from registry.services.seen_site import seen_site
from registry.store import Session, places, reports, rules, visits
from registry.store.reports import VisitMade
from registry.store.scope import scope_of

ACT = "see reports owed"
COMMON = "common practice, no source"
"""Who sets the day of a follow-up where no rule does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportsView:
    """What is owed on a date, overdue first, then by date, what has no date last."""

    on_date: date
    owed: tuple[ReportOwed, ...] = ()
    to_mend: tuple[FindingOpen, ...] = ()

    @property
    def tonight(self) -> tuple[ReportOwed, ...]:
        """What is due by the end of the date."""
        return tuple(one for one in self.owed if (one.state.days_late or 0) >= 0 and _dated(one))

    @property
    def mend_late(self) -> tuple[FindingOpen, ...]:
        """What should be mended by now."""
        return tuple(one for one in self.to_mend if (one.days_late or 0) > 0)


def see_reports(session: Session, viewer: Viewer, on_date: date) -> ReportsView:
    """Return the reports owed on a date and the findings to be mended, as a viewer may see them.

    County staff see what is owed to them, not what is owed to owners.

    Raises
    ------
    AccessError
        If the role may not see what is owed.
    """
    require(viewer, ACT)
    scope = scope_of(viewer)
    made = reports.visits_owing(session, scope, on_date, recipients(viewer))
    states = _states(session, viewer, made, on_date)
    known = {one.id: one for one in places.jurisdictions(session)}
    owed = [
        ReportOwed(
            visit_id=one.visit_id,
            site_id=one.site_id,
            site=one.site,
            place=_place(one),
            jurisdiction=known[one.jurisdiction_id].name,
            time_zone=known[one.jurisdiction_id].time_zone,
            on_date=one.on_date,
            state=state,
        )
        for one in made
        for state in states[one.visit_id]
        if state.sent is None
    ]
    asked = rules.report_rules(session)
    to_mend = [
        _open(for_role(one, viewer.role), visit, known[visit.jurisdiction_id], asked, on_date)
        for one, visit in reports.open_findings(session, scope, on_date)
    ]
    return ReportsView(
        on_date=on_date,
        owed=tuple(sorted(owed, key=lambda one: (_order(one.state.days_late), one.on_date))),
        to_mend=tuple(sorted(to_mend, key=lambda one: (_order(one.days_late), one.found_on))),
    )


def reports_of_visits(
    session: Session, viewer: Viewer, visit_ids: Iterable[str], on_date: date
) -> dict[str, tuple[ReportState, ...]]:
    """Return by visit how its reports stand; only visits in force.

    Of a visit that came in a file only what was noted is told: what became of its reports is not
    known.

    The caller has made sure that the viewer may see them.
    """
    made = reports.visits_made(session, visit_ids)
    ours = {one.visit_id for one in made if one.is_ours}
    found = _states(session, viewer, made, on_date)
    return {
        visit_id: tuple(one for one in states if one.sent is not None or visit_id in ours)
        for visit_id, states in found.items()
    }


def mend_by(
    asked: Iterable[ReportRule], one: Finding, found_on: date, place: Jurisdiction
) -> tuple[date | None, str]:
    """Return by when a finding must be mended and who says so; the follow-up where no rule does."""
    rule = mend_rule(asked, place.rule_set, one.seriousness)
    if rule is not None and rule.mend_days is not None:
        return found_on + timedelta(days=rule.mend_days), rule.citation
    return one.follow_up_on, COMMON if one.follow_up_on else ""


def recipients(viewer: Viewer) -> tuple[ReportTo, ...]:
    """Return whose reports a viewer is told of."""
    return (ReportTo.AUTHORITY,) if viewer.role is Role.COUNTY else tuple(ReportTo)


def _states(
    session: Session, viewer: Viewer, made: Sequence[VisitMade], on_date: date
) -> dict[str, tuple[ReportState, ...]]:
    ids = [one.visit_id for one in made]
    asked = rules.report_rules(session)
    known = {one.id: one for one in places.jurisdictions(session)}
    done = reports.tasks_done(session, ids)
    told_by = reports.first_report_by(session, ids)
    before = [one.supersedes for one in made if one.supersedes]
    sent = _by_visit(reports.sent_in_force(session, [*ids, *before]))
    found = {}
    for one in made:
        place = known[one.jurisdiction_id]
        found[one.visit_id] = tuple(
            _state(
                report_deadline(
                    asked,
                    place,
                    to,
                    one.on_date,
                    done.get(one.visit_id, ()),
                    told_by.get(one.visit_id),
                ),
                to,
                sent.get((one.visit_id, to)),
                sent.get((one.supersedes, to)),
                (on_date, place.time_zone, viewer.role),
            )
            for to in recipients(viewer)
        )
    return found


def _by_visit(sent: Iterable[ReportSent]) -> Mapping[tuple[str, ReportTo], ReportSent]:
    return {(one.visit_id, one.to): one for one in sent}


def _state(
    deadline: Deadline,
    to: ReportTo,
    sent: ReportSent | None,
    before: ReportSent | None,
    seen: tuple[date, str, Role],
) -> ReportState:
    on_date, zone, role = seen
    days = [one for one in (deadline.on_date, _day(deadline.at, zone)) if one is not None]
    return ReportState(
        to=to,
        deadline=deadline,
        sent=for_role(sent, role) if sent else None,
        days_late=(on_date - min(days)).days if days and sent is None else None,
        sent_before=before.sent_on if before and sent is None else None,
    )


def _day(at: datetime | None, zone: str) -> date | None:
    return None if at is None else at.astimezone(ZoneInfo(zone)).date()


def _open(
    one: Finding,
    visit: VisitMade,
    place: Jurisdiction,
    asked: Iterable[ReportRule],
    on_date: date,
) -> FindingOpen:
    by, citation = mend_by(asked, one, visit.on_date, place)
    return FindingOpen(
        finding=one,
        site=visit.site,
        place=_place(visit),
        jurisdiction=place.name,
        found_on=visit.on_date,
        mend_by=by,
        citation=citation,
        days_late=None if by is None else (on_date - by).days,
    )


def _place(visit: VisitMade) -> str:
    return ", ".join(filter(None, (visit.address, visit.town)))


def _dated(one: ReportOwed) -> bool:
    return one.state.days_late is not None


def _order(days_late: int | None) -> tuple[bool, int]:
    """Return what sorts the latest first and what has no date last."""
    return days_late is None, -(days_late or 0)


def see_notes(
    session: Session, viewer: Viewer, visit_id: str, on_date: date
) -> tuple[tuple[ReportState, ...], tuple[ReportSent, ...]]:
    """Return how the reports of a visit stand, and every note on them, those taken back included.

    Raises
    ------
    AccessError
        If the role may not see what is owed.
    NotFoundError
        If there is no such visit, or it is not the viewer's.
    """
    require(viewer, ACT)
    found = visits.visits_with_ids(session, [visit_id])
    if not found:
        raise NotFoundError("There is no such visit, or it is not for your sign-in.")
    seen_site(session, viewer, found[0].site_id)
    states = reports_of_visits(session, viewer, [visit_id], on_date).get(visit_id, ())
    notes = [one for one in reports.sent_ever(session, visit_id) if one.to in recipients(viewer)]
    return states, tuple(for_role(one, viewer.role) for one in notes)
