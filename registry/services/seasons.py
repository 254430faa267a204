"""Making a season: the week of every visit of a year, what was promised kept where it may be."""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from registry.errors import NotFoundError, PlanError
from registry.plan.ports import ProgressLine, RoadEngine
from registry.records.season import MadeSeason, SeasonVisit
from registry.season.asked import Posed, Ways, posed
from registry.season.check import Broken, SeasonBreach, broken_limits
from registry.season.cost import loads_s, week_drives_s
from registry.season.from_records import Kept, SeasonKnown
from registry.season.ports import SeasonSolver
from registry.season.problem import SeasonPlan
from registry.season.weeks import Calendar
from registry.services.plan_day import Search
from registry.services.season_input import SeasonWish, season_known, season_ways
from registry.store import Session, Store, seasons
from registry.units import S_PER_H, S_PER_MIN


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonOrder:
    """Whose season is made, from which day on, on what terms, and how long is searched."""

    firm_id: int
    today: date
    now: datetime
    search: Search
    wish: SeasonWish = field(default_factory=SeasonWish)


def make_season(
    store: Store,
    roads: RoadEngine,
    flown: Ways,
    solver: SeasonSolver,
    wanted: SeasonOrder,
    progress: ProgressLine | None = None,
) -> MadeSeason:
    """Put every visit of a year into a week, check it, and keep it.

    Weeks of the season before stay unless moving them saves driving, promised ones far more so.

    Raises
    ------
    PlanError
        If nobody works, nothing falls due, or the weeks break a due date.
    RoadError
        If the roads cannot be used.
    """
    with store.reading() as session:
        before = seasons.newest_season(session, wanted.firm_id)
        kept = _kept(before, wanted)
        known = season_known(session, wanted.firm_id, wanted.today, kept, wanted.wish)
    if not known.asked.people:
        raise PlanError("Nobody works, or nobody has a place to start from. Import a crew first.")
    if not known.asked.owed:
        raise PlanError("Nothing falls due within the year at a site that has a position.")
    year = posed(known.asked, season_ways(known.asked, roads, flown))
    plan = solver.solve(
        year.season,
        seconds=wanted.search.seconds,
        rounds=wanted.search.rounds,
        seed=wanted.search.seed,
        progress=progress,
        stop=wanted.search.stop,
    )
    broken = broken_limits(year.season, plan)
    if wrong := [one for one in broken if one.kind is not SeasonBreach.OVER]:
        said = "; ".join(f"{one.job}: {one.kind}" for one in wrong[:5])
        raise PlanError(f"The season is refused: {said}.")
    visits = tuple(_visits(known, year, plan, before))
    made = MadeSeason(
        firm_id=wanted.firm_id,
        first_on=known.calendar.first_on,
        n_weeks=known.calendar.n_weeks,
        made_at=wanted.now,
        told=_told(known, year, plan, broken, before, visits),
        visits=visits,
    )
    with store.session() as session:
        return seasons.save_season(session, made)


def season_in_force(session: Session, firm_id: int) -> MadeSeason:
    """Return the season of a firm.

    Raises
    ------
    NotFoundError
        If none was made.
    """
    found = seasons.newest_season(session, firm_id)
    if found is None:
        raise NotFoundError("No season was made yet. Make one with: riserway season make")
    return found


def _kept(before: MadeSeason | None, wanted: SeasonOrder) -> Kept:
    """Return the weeks of the season before that are not over."""
    weeks: dict[tuple[int, str], int] = {}
    promised: set[tuple[int, str]] = set()
    if before is None:
        return Kept(weeks=weeks)
    monday = Calendar(before.first_on, before.n_weeks)
    first = monday.monday(monday.week_of(wanted.today))
    now = Calendar(first, wanted.wish.n_weeks)
    for visit in before.visits:
        week = now.week_of(visit.week_on)
        if 0 <= week < now.n_weeks:
            for task in visit.tasks:
                key = (visit.site_id, task)
                weeks[key] = weeks.get(key, 0) | 1 << week
                if visit.promised_at is not None:
                    promised.add(key)
    return Kept(weeks=weeks, promised=frozenset(promised))


def _visits(
    known: SeasonKnown, year: Posed, plan: SeasonPlan, before: MadeSeason | None
) -> list[SeasonVisit]:
    """Return the visits of a plan; a promise goes on where the week is still the same."""
    promised = {
        (one.site_id, task, one.week_on): one.promised_at
        for one in (before.visits if before else ())
        for task in one.tasks
    }
    found = []
    for at, (one, weeks) in enumerate(zip(known.going, plan.weeks, strict=True)):
        for number, week in enumerate(weeks):
            on, site_id = known.calendar.monday(week), one.site.site_id
            found.append(
                SeasonVisit(
                    site_id=site_id,
                    site=one.site.key,
                    week_on=on,
                    due_on=one.due_on if number == 0 else None,
                    tasks=one.tasks,
                    minutes=round(known.asked.owed[at].service_s / S_PER_MIN),
                    late=number == 0 and year.season.jobs[at].late,
                    in_barred_week=at in year.forced
                    and not known.asked.owed[at].allowed >> week & 1,
                    promised_at=promised.get((site_id, one.tasks[0], on)),
                )
            )
    return found


def _told(
    known: SeasonKnown,
    year: Posed,
    plan: SeasonPlan,
    broken: list[Broken],
    before: MadeSeason | None,
    visits: tuple[SeasonVisit, ...],
) -> dict[str, Any]:
    """Return the figures of a season as plain values."""
    season = year.season
    everybody = max(range(len(season.pools)), key=lambda k: len(season.pools[k].crews))
    hours = loads_s(season, plan)[everybody] / S_PER_H
    stood = {
        (one.site_id, one.tasks, one.week_on)
        for one in (before.visits if before else ())
        if one.week_on >= known.calendar.first_on
    }
    now = {(one.site_id, one.tasks, one.week_on) for one in visits}
    return {
        "engine": plan.engine,
        "seed": plan.seed,
        "work_h": [round(float(one), 1) for one in hours],
        "holds_h": [round(one / S_PER_H, 1) for one in season.pools[everybody].capacity_s],
        "drive_h": round(sum(week_drives_s(season, plan)) / S_PER_H, 1),
        "overdue": sum(1 for one in visits if one.late),
        "in_barred_weeks": sum(1 for one in visits if one.in_barred_week),
        "too_full": [
            {
                "week_on": known.calendar.monday(one.week).isoformat(),
                "who": one.pool,
                "over_h": round(one.over_s / S_PER_H, 1),
            }
            for one in broken
        ],
        "moved": len(stood - now),
        "notes": list(known.notes),
    }
