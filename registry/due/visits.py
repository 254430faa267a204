"""From the due obligations of a site to the one visit that settles them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from registry.due.crew import Crew
from registry.due.equipment import Equipment, assumed
from registry.due.lateness import days_overdue
from registry.due.months import in_season
from registry.due.visit_hours import hours_on
from registry.due.visit_needs import (
    minutes,
    purge_hose_min,
    purge_water,
    septage,
    water_bring,
    water_needed,
)
from registry.due.visit_worth import visit_worth
from registry.due.walk_note import walk_ft_in
from registry.records.places import LonLat, ServiceWindow, WindowException
from registry.records.visits import BEFORE_WATER, FOLLOW_UP, DueVisit, Hold, Traced
from registry.records.work import Obligation, TaskKind

ALARM_CALL = "alarm call"
"""What a held visit is for where its site owes nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueSite:
    """One site with what is due there; ``systems`` maps a system's id to kind and key.

    ``follow_ups`` are the kinds of findings that a held visit is to see to.
    """

    site_id: int
    key: str
    name: str = ""
    lon_lat: LonLat | None = None
    jurisdiction: str = ""
    water_available_gal: float | None = None
    season_from: str = ""
    season_to: str = ""
    windows: tuple[ServiceWindow, ...] = ()
    exceptions: tuple[WindowException, ...] = ()
    obligations: tuple[Obligation, ...] = ()
    systems: Mapping[int, tuple[str, str]] = field(default_factory=dict)
    equipment: Mapping[int, Equipment] = field(default_factory=dict)
    hold: Hold | None = None
    access_note: str = ""
    follow_ups: tuple[str, ...] = ()


def due_visit_of(
    due: DueSite,
    tasks: Mapping[str, TaskKind],
    on_date: date,
    crew: Crew | None = None,
) -> DueVisit:
    """Return the visit that settles what is due at a site on a date.

    Everything due is done in one stop, two systems included. Only where nobody of the crew may do
    all of it, but some may do part, the weightiest part that one person may do is the visit, and
    the rest is left for another day: a pump-out waits for the vacuum truck. A held site at which
    findings wait gets their follow-up as well; one that owes nothing gets an alarm call. Before
    high water no tank is pumped: empty, it can float.

    Parameters
    ----------
    due
        The site, its due obligations, its systems' equipment.
    tasks
        Task kinds by code.
    on_date
        The date of the visit.
    crew
        Who may do what; None = everything together.
    """
    before_water = due.hold is not None and due.hold.is_before_water
    owed = [
        one
        for one in due.obligations
        if one.task in tasks and not (before_water and tasks[one.task].septage_each_gal)
    ]
    chosen, left = _for_one_person(due, owed, tasks, crew, on_date)
    work = [
        (tasks[one.task], _equipment(due, one.system_id), _system_word(due, one.system_id))
        for one in chosen
    ]
    if due.follow_ups and FOLLOW_UP in tasks:
        work.append((tasks[FOLLOW_UP], Equipment(), ""))
    if before_water and BEFORE_WATER in tasks:
        work.append((tasks[BEFORE_WATER], Equipment(), ""))
    if not work and ALARM_CALL in tasks:
        work.append((tasks[ALARM_CALL], Equipment(), ""))
    kinds = [task for task, _, _ in work]
    takes = minutes(work, tasks)
    water = water_needed(work, tasks)
    dry = not in_season(on_date, due.season_from, due.season_to)
    bring = water_bring(water, due.water_available_gal, "shut off out of season" if dry else "")
    load = septage(work)
    hours = hours_on(on_date, due.windows, due.exceptions, due.season_from, due.season_to)
    worth = visit_worth(chosen, tasks, on_date)
    due_on = min((one.due_on for one in chosen if one.due_on), default=on_date)
    return DueVisit(
        site_id=due.site_id,
        site_key=due.key,
        site_name=due.name,
        lon_lat=due.lon_lat,
        obligation_ids=tuple(one.id for one in chosen),
        tasks=tuple(dict.fromkeys(kind.code for kind in kinds)),
        service_min=takes.total,
        minutes_trace=(*takes.trace, *(_left_word(one, tasks) for one in left)),
        water_needed_gal=water.total,
        water_bring_gal=bring.total,
        water_trace=bring.trace,
        purge_gal=purge_water(work).total,
        purge_hose_min=purge_hose_min(work),
        septage_gal=load.total,
        septage_trace=load.trace,
        tools=tuple(dict.fromkeys(tool for kind in kinds for tool in kind.tools)),
        licences=tuple(sorted({kind.licence for kind in kinds if kind.licence})),
        skills=tuple(sorted({skill for kind in kinds for skill in kind.skills})),
        people=max((kind.people for kind in kinds), default=1),
        windows=hours.windows,
        closed_why=hours.closed_why,
        due_on=due_on,
        days_overdue=days_overdue(due_on, on_date),
        worth_s=worth.total,
        worth_trace=worth.trace,
        hold=due.hold,
        jurisdiction=due.jurisdiction,
        walk_ft=walk_ft_in(due.access_note),
        follow_ups=due.follow_ups,
    )


def _for_one_person(
    due: DueSite,
    owed: list[Obligation],
    tasks: Mapping[str, TaskKind],
    crew: Crew | None,
    on_date: date,
) -> tuple[list[Obligation], list[Obligation]]:
    """Return what one person of the crew may do together, and what is left for another visit."""
    together = frozenset(one.task for one in owed)
    if crew is None or len(together) < 2 or crew.may(together, due.jurisdiction):
        return owed, []
    by_worth = sorted(owed, key=lambda one: visit_worth([one], tasks, on_date).total, reverse=True)
    chosen: frozenset[str] = frozenset()
    for one in by_worth:
        if crew.may(chosen | {one.task}, due.jurisdiction):
            chosen |= {one.task}
    if not chosen:
        return owed, []
    return (
        [one for one in owed if one.task in chosen],
        [one for one in owed if one.task not in chosen],
    )


def _equipment(due: DueSite, system_id: int) -> Equipment:
    found = due.equipment.get(system_id)
    return found if found is not None else assumed(due.systems.get(system_id, ("", ""))[0])


def _system_word(due: DueSite, system_id: int) -> str:
    if len({one.system_id for one in due.obligations}) < 2:
        return ""
    kind, key = due.systems.get(system_id, ("", ""))
    return key or kind


def _left_word(one: Obligation, tasks: Mapping[str, TaskKind]) -> Traced:
    kind = tasks[one.task]
    needs = ", ".join(filter(None, (kind.licence and f"{kind.licence} licence", *kind.skills)))
    return Traced(
        f"{kind.name}: left for another visit", 0.0, f"nobody may do it with the rest ({needs})"
    )
