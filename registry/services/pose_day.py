"""A date's records as a problem for a solver, and a solver's answer as a day that is told."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from registry.errors import PlanError, RoadError
from registry.plan.check import check
from registry.plan.check_day import check_day
from registry.plan.check_hours import check_hours
from registry.plan.clash import clash_words, clashes
from registry.plan.day import day_records, planned_day
from registry.plan.day_extras import extra_places, with_extras
from registry.plan.day_roads import LineOf
from registry.plan.from_records import day_places, day_problem
from registry.plan.place_words import called
from registry.plan.ports import RoadEngine
from registry.plan.problem import DayProblem, RouteCalls, Solution
from registry.plan.stops import DayRecords
from registry.plan.walk import with_walks
from registry.plan.words import WhyWord
from registry.records.day import ClosedHours, Day, Waiting
from registry.records.places import LonLat
from registry.records.visits import DueVisit
from registry.services.cut_off import Driver, closures_named
from registry.services.day_input import MOST_VISITS, DayInput
from registry.services.truck_tables import (
    DayRoads,
    limits_of,
    line_by_truck,
    spans_s,
    warnings_of,
    with_tables,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Posed:
    """A date as a problem; ``too_far`` are visits that lie too far from any road to be asked.

    ``known`` is what the problem was made from, without these; ``roads`` are under the day's
    conditions.
    """

    known: DayInput
    problem: DayProblem
    records: DayRecords
    too_far: tuple[DueVisit, ...]
    roads: RoadEngine


def pose(known: DayInput, roads: RoadEngine) -> Posed:
    """Return a date as a problem over the roads as they are that day.

    Raises
    ------
    PlanError
        If there is no place to start from.
    RoadError
        If the roads cannot be used.
    """
    roads = roads.under(known.conditions)
    known, too_far = _within_reach(known, roads)
    at = _places(known)
    matrix = roads.travel_times(at)
    known = replace(known, visits=with_walks(known.visits, at, matrix.snap_m.tolist()))
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
    by_hour = day_roads(known, roads)
    problem = with_tables(problem, by_hour, at)
    problem = with_extras(problem, known.extras, known.visits, known.crew, at, known.on_date)
    return Posed(
        known=known,
        problem=problem,
        records=day_records(
            known.on_date,
            known.zone,
            at,
            known.visits,
            known.crew,
            replace(
                matrix.roads_used(),
                warnings=called(warnings_of(by_hour, at, matrix), at, _names(known)),
            ),
            known.yard,
        ),
        too_far=too_far,
        roads=roads,
    )


def tell(posed: Posed, solution: Solution, seed: int) -> Day:
    """Return a solution as a day, recomputed by the independent checks before it is told.

    Raises
    ------
    PlanError
        If the plan breaks a limit.
    """
    known, problem = posed.known, posed.problem
    check(problem, solution.routes, appointed=solution.appointed, required_may_wait=True)
    day = planned_day(
        problem,
        solution,
        posed.records,
        firm_id=known.firm_id,
        seed=seed,
        line_of=lines_of(posed),
    )
    check_day(day, known.visits, known.crew)
    check_hours(day, problem, posed.records.places)
    return with_all_waiting(with_clashes(day, problem, solution.routes), posed)


def with_clashes(day: Day, problem: DayProblem, routes: Sequence[RouteCalls]) -> Day:
    """Return a day whose notes tell which holds cannot all be kept."""
    found = {frozenset(clash): clash for clash in clashes(problem, routes).values()}
    told = tuple(clash_words(problem, clash) for clash in found.values() if len(clash) > 1)
    return replace(day, notes=(*day.notes, *told))


def lines_of(posed: Posed) -> LineOf:
    """Return what draws a technician's route along the roads of the day."""
    return line_by_truck(day_roads(posed.known, posed.roads))


def day_roads(known: DayInput, roads: RoadEngine) -> DayRoads:
    """Return the roads of a day, given those under its conditions."""
    return DayRoads(roads=roads, conditions=known.conditions, limits=limits_of(known.crew))


def with_all_waiting(day: Day, posed: Posed) -> Day:
    """Return a day with the visits that nobody was asked about, and its notes."""
    known = posed.known
    reached = closures_named(day.waiting, posed.roads, _who_could_go(posed))
    waiting = (*reached, *(_far_from_roads(one) for one in posed.too_far))
    notes = (*day.notes, *known.notes, *_left_unasked(known, posed.too_far))
    return replace(
        day,
        waiting=waiting,
        notes=notes,
        horizon_days=known.horizon_days,
        closed_hours=tuple(_closed_hours(posed)),
    )


def _closed_hours(posed: Posed) -> Iterator[ClosedHours]:
    """Yield the hours of the closures that do not hold all day, those on no road left out."""
    for one in posed.known.conditions.closures:
        if one.hours is not None and one.name in posed.records.roads.closed:
            for span in spans_s(one):
                begins, ends = posed.records.span(span)
                yield ClosedHours(name=one.name, begins=begins, ends=ends)


def _names(known: DayInput) -> dict[LonLat, list[str]]:
    """Return what stands at each place of a day, by the names that people know."""
    found: dict[LonLat, list[str]] = {}
    homes = ((who.home, f"the home of {who.name}") for who in known.crew)
    sites = ((one.lon_lat, one.site_key) for one in known.visits)
    fills = ((one.lon_lat, one.name) for one in known.fills)
    for place, name in ((known.yard, "the yard"), *homes, *fills, *sites):
        if place is not None:
            found.setdefault(place, []).append(name)
    return found


def _who_could_go(posed: Posed) -> dict[int, tuple[Driver, ...]]:
    """Return for each site from where, and in which truck, those could come who may visit it."""
    problem, limits = posed.problem, limits_of(posed.known.crew)
    drivers = [
        Driver(who.name, posed.records.places[who.start_place], limits.get(who.id))
        for who in problem.technicians
    ]
    return {
        posed.records.visits[visit.id].site_id: tuple(
            one for k, one in enumerate(drivers) if problem.may_make(k, i)
        )
        for i, visit in enumerate(problem.visits)
        if visit.id in posed.records.visits
    }


def _left_unasked(known: DayInput, too_far: Sequence[DueVisit]) -> tuple[str, ...]:
    if len(known.visits) + len(too_far) < MOST_VISITS:
        return ()
    return (
        f"More is due than can be looked at: the {MOST_VISITS} visits that are worth most were "
        "offered. The due list has all.",
    )


def _places(known: DayInput) -> tuple[LonLat, ...]:
    """Return the places of the day; the yard is one also where nobody starts from it."""
    at = day_places(
        known.visits,
        known.crew,
        known.fills,
        yard=known.yard,
        on_date=known.on_date,
        outside=(*extra_places(known.extras), *known.besides),
    )
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
        outside = {*extra_places(known.extras), *(fill.lon_lat for fill in known.fills)}
        if not far or far & starts or far & outside:
            raise
        near = tuple(one for one in known.visits if one.lon_lat not in far)
        yard = None if known.yard in far else known.yard
        too_far = tuple(one for one in known.visits if one.lon_lat in far)
        besides = tuple(one for one in known.besides if one not in far)
        return replace(known, visits=near, yard=yard, besides=besides), too_far
    return known, ()


def _far_from_roads(visit: DueVisit) -> Waiting:
    return Waiting(
        site_id=visit.site_id,
        site=visit.site_key,
        place=visit.site_name,
        lon_lat=visit.lon_lat,
        tasks=visit.task_words,
        due_on=visit.due_on,
        days_overdue=visit.days_overdue,
        minutes=visit.service_min,
        why_word=WhyWord.UNREACHABLE,
        why="No road of the imported network lies within 2 km: check the site's position, or "
        "import roads that cover it.",
        held=visit.hold is not None,
    )
