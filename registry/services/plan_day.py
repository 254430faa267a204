"""Ordering one date's visits: what is due, over which roads, by whom, checked and kept."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from registry.errors import PlanError, RoadError
from registry.plan.check import check
from registry.plan.check_day import check_day
from registry.plan.day import day_records, planned_day
from registry.plan.from_records import day_places, day_problem, is_on_duty
from registry.plan.ports import ProgressLine, RoadEngine, RouteSolver
from registry.plan.words import WhyWord
from registry.records.closures import Closure
from registry.records.crew import FillPoint, Technician
from registry.records.day import Day, Waiting
from registry.records.places import LonLat
from registry.records.roads import RoadConditions
from registry.records.visits import DueVisit
from registry.services.closures import closures_of_day
from registry.services.cut_off import closures_named
from registry.services.due_visits import due_visits
from registry.store import Session, Store, closures, crew, days, names, places
from registry.store.road_speeds import road_speeds

MOST_VISITS = 600
"""Visits offered to the solver at most: far more than a firm makes a day, and a table of travel
times that is still quick. Those that are worth most are taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """How long a solver searches: seconds, or rounds, with which the same seed gives one plan."""

    seconds: float | None = None
    rounds: int | None = None
    seed: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class DayInput:
    """What a date is planned from.

    ``conditions`` are the closed roads to drive around and the firm's own speeds; ``notes`` are
    sentences about them for the plan.
    """

    firm_id: int
    on_date: date
    zone: str
    yard: LonLat | None
    visits: tuple[DueVisit, ...]
    crew: tuple[Technician, ...]
    fills: tuple[FillPoint, ...]
    conditions: RoadConditions = field(default_factory=RoadConditions)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOrder:
    """Which date is to be ordered, for whom, with what effort; ``horizon_days`` None = by rule.

    ``closures`` are closed for this plan, beside those that the firm keeps.
    """

    firm_id: int
    on_date: date
    search: Search
    made_by: str
    now: datetime
    horizon_days: int | None = None
    closures: tuple[Closure, ...] = ()


def plan_day(
    store: Store,
    roads: RoadEngine,
    solver: RouteSolver,
    wanted: DayOrder,
    progress: ProgressLine | None = None,
) -> Day:
    """Choose and order the visits of a date for all technicians; kept only once checked.

    The store is read before the search and written after it, so that nobody waits meanwhile.

    Raises
    ------
    PlanError
        If there is no place to start from, or a plan breaks a limit.
    RoadError
        If the roads cannot be used.
    """
    with store.reading() as session:
        known = day_input(session, wanted.firm_id, wanted.on_date, wanted.horizon_days)
    closed = (*known.conditions.closures, *wanted.closures)
    known = replace(known, conditions=replace(known.conditions, closures=closed))
    day = order(known, roads, solver, wanted.search, progress)
    with store.session() as session:
        return days.save_day(session, day, made_by=wanted.made_by, now=wanted.now)


def day_input(
    session: Session, firm_id: int, on_date: date, horizon_days: int | None = None
) -> DayInput:
    """Return what a date is planned from; ``horizon_days`` None = as each rule says."""
    people = tuple(crew.technicians(session, firm_id))
    closed = closures_of_day(closures.closures(session, firm_id), people, on_date)
    return DayInput(
        firm_id=firm_id,
        on_date=on_date,
        zone=names.zone_of_firm(session, firm_id),
        yard=places.firm(session, firm_id).yard,
        visits=tuple(due_visits(session, firm_id, on_date, horizon_days, MOST_VISITS)),
        crew=people,
        fills=tuple(crew.fill_points(session, firm_id)),
        conditions=RoadConditions(
            closures=closed.in_force, speeds_mph=road_speeds(session, firm_id)
        ),
        notes=closed.notes,
    )


def order(
    known: DayInput,
    roads: RoadEngine,
    solver: RouteSolver,
    search: Search,
    progress: ProgressLine | None = None,
) -> Day:
    """Return the routes of a date, recomputed by the independent check before they are told."""
    roads = roads.under(known.conditions)
    known, too_far = _within_reach(known, roads)
    at = _places(known)
    matrix = roads.travel_times(at)
    problem = day_problem(
        known.visits,
        known.crew,
        known.fills,
        matrix.travel_s,
        matrix.travel_m,
        known.on_date,
        places=at,
        yard=known.yard,
    )
    solution = solver.solve(
        problem,
        seconds=search.seconds,
        rounds=search.rounds,
        seed=search.seed,
        progress=progress,
    )
    check(problem, solution.routes, required_may_wait=True)
    day = planned_day(
        problem,
        solution,
        day_records(
            known.on_date,
            known.zone,
            at,
            known.visits,
            known.crew,
            known.fills,
            matrix.roads_used(),
            known.yard,
        ),
        firm_id=known.firm_id,
        seed=search.seed,
        line_of=roads.line,
    )
    check_day(day, known.visits, known.crew)
    reached = closures_named(day.waiting, roads, _starts(known))
    waiting = (*reached, *(_far_from_roads(one) for one in too_far))
    notes = (*day.notes, *known.notes, *_left_unasked(known, too_far))
    return replace(day, waiting=waiting, notes=notes)


def _starts(known: DayInput) -> tuple[LonLat, ...]:
    """Return where the technicians on duty start, each place once."""
    starts = (who.home or known.yard for who in known.crew if is_on_duty(who, known.on_date))
    return tuple(dict.fromkeys(start for start in starts if start is not None))


def _left_unasked(known: DayInput, too_far: Sequence[DueVisit]) -> tuple[str, ...]:
    if len(known.visits) + len(too_far) < MOST_VISITS:
        return ()
    return (
        f"More is due than can be looked at: the {MOST_VISITS} visits that are worth most were "
        "offered. The due list has all.",
    )


def _places(known: DayInput) -> tuple[LonLat, ...]:
    """Return the places of the day; the yard is one also where nobody starts from it."""
    at = day_places(known.visits, known.crew, known.fills, yard=known.yard, on_date=known.on_date)
    if not at:
        raise PlanError(
            "There is no place to start from. Import a crew with a yard or homes first."
        )
    return at if known.yard is None or known.yard in at else (*at, known.yard)


def _within_reach(known: DayInput, roads: RoadEngine) -> tuple[DayInput, tuple[DueVisit, ...]]:
    """Return the input without the visits that lie too far from any road, and those visits.

    One site with a wrong position must not keep a whole day from being ordered; a yard or a home
    that somebody starts from must.
    """
    at = _places(known)
    try:
        roads.travel_times(at)
    except RoadError as wrong:
        far = {at[number] for number in wrong.far}
        starts = {who.home or known.yard for who in known.crew}
        if not far or far & starts or far & {fill.lon_lat for fill in known.fills}:
            raise
        near = tuple(one for one in known.visits if one.lon_lat not in far)
        yard = None if known.yard in far else known.yard
        too_far = tuple(one for one in known.visits if one.lon_lat in far)
        return replace(known, visits=near, yard=yard), too_far
    return known, ()


def _far_from_roads(visit: DueVisit) -> Waiting:
    return Waiting(
        site_id=visit.site_id,
        site=visit.site_key,
        place=visit.site_name,
        lon_lat=visit.lon_lat,
        tasks=visit.tasks,
        due_on=visit.due_on,
        days_overdue=visit.days_overdue,
        minutes=visit.service_min,
        why_word=WhyWord.UNREACHABLE,
        why="No road of the imported network lies within 2 km: check the site's position, or "
        "import roads that cover it.",
        held=visit.hold is not None,
    )
