"""How each firm's reports to the authority stand: in time, late, missing; what came in."""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date, timedelta

from registry.privacy import require
from registry.records.changes import Role, Viewer
from registry.records.reports import ReportState, ReportTo
from registry.records.reports_in import FirmReports, LateReport, Licensed, ReportIn
from registry.records.work import TaskKind
from registry.services.see_reports import reports_of_visits
from registry.services.take_back_reports import runs_of
from registry.services.take_in_reports import ACT
from registry.store import Session, reports_in, rules
from registry.store.import_runs import ImportRun
from registry.store.scope import scope_of

BACK = timedelta(days=365)
"""How far back the visits lie whose reports are counted."""
LATELY = 100
"""Reports that the page lists."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmReportsView:
    """The reports of a year by firm, worst first; each late one; what came in lately.

    ``licences`` is the authority's list of who is licensed, None for others. ``tasks`` are those
    that a report can name.
    """

    on_date: date
    since: date
    firms: tuple[FirmReports, ...]
    late: tuple[LateReport, ...]
    came: tuple[ReportIn, ...]
    runs: tuple[ImportRun, ...]
    licences: tuple[Licensed, ...] | None
    tasks: tuple[TaskKind, ...]
    reading_codes: tuple[tuple[str, str], ...]


def see_firm_reports(session: Session, viewer: Viewer, on_date: date) -> FirmReportsView:
    """Return how the reports of all firms in the viewer's jurisdictions stand.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    """
    require(viewer, ACT)
    scope = scope_of(viewer)
    since = on_date - BACK
    made = reports_in.visits_reported(session, scope, since, on_date)
    states = reports_of_visits(session, viewer, made, on_date)
    counts: dict[str, FirmReports] = {}
    late: list[LateReport] = []
    for visit_id, (firm, site_id, site, visited_on) in made.items():
        state = next(
            (one for one in states.get(visit_id, ()) if one.to is ReportTo.AUTHORITY), None
        )
        if state is None:
            continue
        due_on = state.deadline.on_date
        days = _days_late(state, on_date)
        before = counts.get(firm, FirmReports(firm=firm))
        counts[firm] = _counted(before, state, days)
        if days > 0 and due_on is not None:
            late.append(
                LateReport(
                    firm=firm,
                    visit_id=visit_id,
                    site_id=site_id,
                    site=site,
                    visited_on=visited_on,
                    due_on=due_on,
                    came_on=state.sent.sent_on if state.sent else None,
                    days_late=days,
                    citation=state.deadline.citation,
                )
            )
    kinds = rules.reading_kinds(session)
    return FirmReportsView(
        on_date=on_date,
        since=since,
        firms=tuple(sorted(counts.values(), key=_worst_first)),
        late=tuple(
            sorted(late, key=lambda one: (one.firm, one.came_on is not None, -one.days_late))
        ),
        came=tuple(reports_in.reports_in(session, scope, limit=LATELY)),
        runs=tuple(runs_of(session, viewer)),
        licences=tuple(reports_in.licensed_in(session, viewer.jurisdiction_ids))
        if viewer.role is Role.COUNTY
        else None,
        tasks=tuple(one for one in rules.task_kinds(session) if one.readings),
        reading_codes=tuple((one.code, one.unit) for one in kinds.values()),
    )


def _days_late(state: ReportState, on_date: date) -> int:
    """Return how many days after its day a report came, or is on a date; 0 = in time, undated."""
    due_on = state.deadline.on_date
    if due_on is None:
        return 0
    until = state.sent.sent_on if state.sent else on_date
    return max((until - due_on).days, 0)


def _counted(one: FirmReports, state: ReportState, days: int) -> FirmReports:
    grown: dict[str, int] = defaultdict(int)
    if state.sent is None:
        grown["n_owed"] = 1
        grown["n_missing"] = int(days > 0)
    elif state.deadline.on_date is None:
        grown["n_undated"] = 1
    else:
        grown["n_late" if days else "n_in_time"] = 1
    more = {name: getattr(one, name) + n for name, n in grown.items()}
    return replace(one, worst_days=max(one.worst_days, days), **more)


def _worst_first(one: FirmReports) -> tuple[int, int, str]:
    return -one.n_missing, -one.n_late, one.firm
