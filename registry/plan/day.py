"""One date's routes as records: moments with their offset, stops, totals, what waits and why."""

from collections.abc import Sequence
from datetime import date, datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

from registry.plan.clock import RouteTimes, route_times
from registry.plan.cost import cost_of
from registry.plan.day_roads import LineOf, told_by_hour, with_line
from registry.plan.driving import drive_of
from registry.plan.problem import (
    UNREACHABLE_S,
    DayProblem,
    RouteCalls,
    Solution,
    places_of,
    with_appointed,
)
from registry.plan.road_hours import least_s
from registry.plan.stops import DayRecords, lunch_stop, stop_of, waiting_of
from registry.plan.why import why_waiting
from registry.records.crew import Technician
from registry.records.day import Day, RoadsUsed, Route
from registry.records.places import LonLat
from registry.records.visits import DueVisit


def day_records(
    on_date: date,
    time_zone: str,
    places: Sequence[LonLat],
    visits: Sequence[DueVisit],
    crew: Sequence[Technician],
    roads: RoadsUsed,
    yard: LonLat | None = None,
) -> DayRecords:
    """Return the records by the ids that the problem uses."""
    return DayRecords(
        on_date=on_date,
        zone=ZoneInfo(time_zone),
        places=places,
        visits={str(visit.site_id): visit for visit in visits},
        crew={str(who.id): who for who in crew},
        roads=roads,
        yard=places.index(yard) if yard in places else None,
    )


def planned_day(
    problem: DayProblem,
    solution: Solution,
    records: DayRecords,
    *,
    firm_id: int = 0,
    seed: int = 0,
    made_at: datetime | None = None,
    line_of: LineOf | None = None,
) -> Day:
    """Return a solution as one date's routes; check it with ``registry.plan.check`` first.

    Parameters
    ----------
    problem, solution
        The day and its routes.
    records
        What the problem was made from.
    firm_id, seed, made_at
        Noted on the day.
    line_of
        Draws a technician's route along the roads.

    Raises
    ------
    PlanError
        If a route does not keep its hours.
    """
    problem = with_appointed(problem, solution.appointed)
    told = (waiting_of(problem, out, records) for out in why_waiting(problem, solution.routes))
    routes = tuple(
        route_of(problem, number, calls, route_times(problem, number, calls), records, line_of)
        for number, calls in enumerate(solution.routes)
        if calls
    )
    return Day(
        on_date=records.on_date,
        firm_id=firm_id,
        routes=routes,
        waiting=tuple(one for one in told if one is not None),
        cost=float(cost_of(problem, solution.routes)),
        roads=records.roads,
        engine=solution.engine,
        seed=seed,
        seconds=solution.seconds,
        rounds=solution.rounds,
        made_at=made_at,
        notes=problem.notes,
    )


def route_of(
    problem: DayProblem,
    number: int,
    calls: RouteCalls,
    times: RouteTimes,
    records: DayRecords,
    line_of: LineOf | None = None,
) -> Route:
    """Return one technician's route at its times."""
    who = problem.technicians[number]
    technician = records.crew[who.id]
    drive_s, drive_m = drive_of(problem, number, calls)
    places = places_of(problem, number, calls)
    travel = problem.travel_of(number)
    has_yard = records.yard is not None and _leads(problem, records.yard, who.start_place)
    base = records.yard if has_yard and records.yard is not None else who.start_place
    yard_s = [_from_yard(problem, base, place) for place in places]
    stops = [
        stop_of(problem, call, when, leg, travel, height_s, records)
        for call, when, leg, height_s in zip(
            calls, times.calls, pairwise(places), yard_s[1:], strict=False
        )
    ]
    if times.lunch is not None:
        stops.insert(times.lunch.before, lunch_stop(times.lunch, yard_s, records))
    route = Route(
        technician_id=technician.id,
        technician=technician.name,
        initials=technician.initials,
        leaves=records.at(times.leaves_s),
        returns=records.at(times.returns_s),
        shift=records.span((who.shift_from_s, who.shift_to_s)),
        start=records.places[places[0]],
        end=records.places[places[-1]],
        drive_s=float(drive_s),
        drive_m=float(drive_m),
        wait_s=float(times.wait_s),
        stops=tuple(stops),
        start_yard_s=yard_s[0] if has_yard else None,
        end_yard_s=yard_s[-1] if has_yard else None,
    )
    if problem.hours is not None:
        route = told_by_hour(route, problem, number, calls, times, records)
    return with_line(route, records.on_date, line_of)


def _from_yard(problem: DayProblem, base: int, here: int) -> float:
    """Return the seconds from the yard to a place; 0 where no road is known."""
    return float(least_s(problem, 0, base, here)) if _leads(problem, base, here) else 0.0


def _leads(problem: DayProblem, base: int, here: int) -> bool:
    """Tell whether a road leads from the yard to a place."""
    return least_s(problem, 0, base, here) < UNREACHABLE_S
