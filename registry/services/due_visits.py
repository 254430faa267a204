"""The visits that are due on a date: each site's due obligations as one stop."""

from collections.abc import Collection
from datetime import date

from registry.due.crew import Crew
from registry.due.visit_worth import worth_by_site
from registry.due.visits import due_visit_of
from registry.records.visits import DueVisit
from registry.store import Session, crew, days
from registry.store.due_sites import due_sites, firm_of_site
from registry.store.obligations import due_for_visits, lateness_of_sites
from registry.store.rules import task_kinds


def due_visits(
    session: Session,
    firm_id: int,
    on_date: date,
    horizon_days: int | None = None,
    most: int | None = None,
    site_ids: Collection[int] | None = None,
) -> list[DueVisit]:
    """Return a firm's due visits on a date, by site; held ones are always among them.

    Parameters
    ----------
    horizon_days
        How far ahead a task counts as due; None = as each rule says. [days]
    most
        At most so many, those that are worth most; None = all. A day that is ordered over real
        roads needs a bound, since the travel matrix grows with its square.
    site_ids
        Only these sites; None = all.
    """
    tasks = {one.code: one for one in task_kinds(session)}
    holds = days.holds_on(session, firm_id, on_date)
    if most is not None and site_ids is None:
        late = lateness_of_sites(session, firm_id, on_date, horizon_days)
        worth = worth_by_site(late, tasks)
        held = {one.site_id for one in holds}
        best = sorted(worth, key=lambda one: (one not in held, -worth[one], one))
        site_ids = {*best[:most], *held}
    owed = due_for_visits(session, firm_id, on_date, horizon_days, site_ids)
    if site_ids is not None:
        holds = [one for one in holds if one.site_id in site_ids]
    people = crew.technicians(session, firm_id)
    who = Crew(people, tasks, on_date) if people else None
    return [
        due_visit_of(due, tasks, on_date, who) for due in due_sites(session, owed, holds, on_date)
    ]


def due_visit(
    session: Session, site_id: int, on_date: date, horizon_days: int | None = None
) -> DueVisit | None:
    """Return the visit of one site on a date, None where nothing is due or held there."""
    firm_id = firm_of_site(session, site_id)
    if firm_id is None:
        return None
    found = due_visits(session, firm_id, on_date, horizon_days, site_ids=[site_id])
    return found[0] if found else None
