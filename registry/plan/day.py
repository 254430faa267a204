"""One date's routes as records: moments with their offset, stops, totals, what waits and why."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from registry.plan.clock import LunchTaken, RouteTimes, route_times
from registry.plan.cost import cost_of
from registry.plan.problem import (
    UNREACHABLE_S,
    Call,
    DayProblem,
    RouteCalls,
    Solution,
    Window,
    drive_of,
    place_of,
)
from registry.plan.why import why_waiting
from registry.records.crew import FillPoint, Technician
from registry.records.day import Day, RoadsUsed, Route, Stop, Waiting
from registry.records.places import LonLat
from registry.records.visits import DueVisit
from registry.units import MIN_PER_DAY, S_PER_MIN

type LineOf = Callable[[Sequence[LonLat]], tuple[LonLat, ...]]

ALL_DAY_S = MIN_PER_DAY * S_PER_MIN


def moment(on_date: date, second: int, zone: ZoneInfo) -> datetime:
    """Return a moment from the wall clock's seconds after midnight.

    Wall-clock arithmetic: 09:00 is 09:00 also on the two days a year when the clocks change.
    """
    return (datetime.combine(on_date, time()) + timedelta(seconds=second)).replace(tzinfo=zone)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayRecords:
    """The records that a problem was made from, which a day's routes are told in.

    ``places`` are those that the problem's indices mean; ``yard`` is the index of the firm's yard
    among them, None where none is known.
    """

    on_date: date
    zone: ZoneInfo
    places: Sequence[LonLat]
    visits: Mapping[str, DueVisit]
    crew: Mapping[str, Technician]
    fill_points: Mapping[str, FillPoint]
    roads: RoadsUsed
    yard: int | None = None


def day_records(
    on_date: date,
    time_zone: str,
    places: Sequence[LonLat],
    visits: Sequence[DueVisit],
    crew: Sequence[Technician],
    fill_points: Sequence[FillPoint],
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
        fill_points={str(fill.id): fill for fill in fill_points},
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
        The road engine's ``line``, to draw routes along the roads.

    Raises
    ------
    PlanError
        If a route does not keep its hours.
    """
    routes = tuple(
        _route(problem, number, calls, records, line_of)
        for number, calls in enumerate(solution.routes)
        if calls
    )
    return Day(
        on_date=records.on_date,
        firm_id=firm_id,
        routes=routes,
        waiting=tuple(
            _waiting(records.visits[out.id], out.why_word, out.why)
            for out in why_waiting(problem, solution.routes)
        ),
        cost=float(cost_of(problem, solution.routes)),
        roads=records.roads,
        engine=solution.engine,
        seed=seed,
        seconds=solution.seconds,
        rounds=solution.rounds,
        made_at=made_at,
        notes=problem.notes,
    )


def _route(
    problem: DayProblem,
    number: int,
    calls: RouteCalls,
    records: DayRecords,
    line_of: LineOf | None,
) -> Route:
    """Return one technician's route."""
    who = problem.technicians[number]
    technician = records.crew[who.id]
    times = route_times(problem, number, calls)
    drive_s, drive_m = drive_of(problem, number, calls)
    places = [who.start_place, *(place_of(problem, call) for call in calls), who.end_place]
    has_yard = records.yard is not None and _leads(problem, records.yard, who.start_place)
    base = records.yard if has_yard and records.yard is not None else who.start_place
    yard_s = [_from_yard(problem, base, place) for place in places]
    stops = [
        _visit_stop(problem, call, times, at, places, records, yard_s[at + 1])
        if not call.is_fill
        else _fill_stop(problem, call, times, at, places, records, yard_s[at + 1])
        for at, call in enumerate(calls)
    ]
    if times.lunch is not None:
        stops.insert(times.lunch.before, _lunch_stop(times.lunch, yard_s, records))
    through = [records.places[place] for place in places]
    return Route(
        technician_id=technician.id,
        technician=technician.name,
        initials=technician.initials,
        leaves=moment(records.on_date, times.leaves_s, records.zone),
        returns=moment(records.on_date, times.returns_s, records.zone),
        shift=_span((who.shift_from_s, who.shift_to_s), records),
        start=through[0],
        end=through[-1],
        drive_s=float(drive_s),
        drive_m=float(drive_m),
        wait_s=float(times.wait_s),
        stops=tuple(stops),
        line=line_of(through) if line_of else (),
        start_yard_s=yard_s[0] if has_yard else None,
        end_yard_s=yard_s[-1] if has_yard else None,
    )


def _visit_stop(
    problem: DayProblem,
    call: Call,
    times: RouteTimes,
    at: int,
    places: Sequence[int],
    records: DayRecords,
    yard_s: float,
) -> Stop:
    """Return a stop at a site."""
    when = times.calls[at]
    visit = records.visits[problem.visits[call.which].id]
    before, here = places[at], places[at + 1]
    open_all_day = when.window is None or when.window[1] - when.window[0] >= ALL_DAY_S
    return Stop(
        kind="visit",
        site_id=visit.site_id,
        site=visit.site_key,
        place=visit.site_name,
        lon_lat=visit.lon_lat,
        arrives=moment(records.on_date, when.arrives_s, records.zone),
        starts=moment(records.on_date, when.starts_s, records.zone),
        leaves=moment(records.on_date, when.leaves_s, records.zone),
        window=None if open_all_day or when.window is None else _span(when.window, records),
        tasks=visit.tasks,
        minutes=visit.service_min,
        water_gal=visit.water_bring_gal,
        held=visit.hold is not None,
        drive_s=float(problem.travel_s[before, here]),
        drive_m=float(problem.travel_m[before, here]),
        yard_s=yard_s,
    )


def _fill_stop(
    problem: DayProblem,
    call: Call,
    times: RouteTimes,
    at: int,
    places: Sequence[int],
    records: DayRecords,
    yard_s: float,
) -> Stop:
    """Return a stop that fills the tank."""
    when = times.calls[at]
    fill = records.fill_points[problem.fills[call.which].id]
    before, here = places[at], places[at + 1]
    return Stop(
        kind="fill",
        place=fill.name,
        lon_lat=fill.lon_lat,
        arrives=moment(records.on_date, when.arrives_s, records.zone),
        starts=moment(records.on_date, when.starts_s, records.zone),
        leaves=moment(records.on_date, when.leaves_s, records.zone),
        window=None if when.window is None else _span(when.window, records),
        minutes=fill.minutes,
        drive_s=float(problem.travel_s[before, here]),
        drive_m=float(problem.travel_m[before, here]),
        yard_s=yard_s,
    )


def _lunch_stop(lunch: LunchTaken, yard_s: Sequence[float], records: DayRecords) -> Stop:
    """Return lunch as a stop; its height in the chart lies between the places of its leg."""
    before_s, after_s = yard_s[lunch.before], yard_s[lunch.before + 1]
    starts = moment(records.on_date, lunch.starts_s, records.zone)
    return Stop(
        kind="lunch",
        place="lunch",
        arrives=starts,
        starts=starts,
        leaves=moment(records.on_date, lunch.ends_s, records.zone),
        minutes=(lunch.ends_s - lunch.starts_s) / S_PER_MIN,
        yard_s=before_s + lunch.share * (after_s - before_s),
    )


def _from_yard(problem: DayProblem, base: int, here: int) -> float:
    """Return the seconds from the yard to a place; 0 where no road is known."""
    return float(problem.travel_s[base, here]) if _leads(problem, base, here) else 0.0


def _leads(problem: DayProblem, base: int, here: int) -> bool:
    """Tell whether a road leads from the yard to a place."""
    return int(problem.travel_s[base, here]) < UNREACHABLE_S


def _span(window: Window, records: DayRecords) -> tuple[datetime, datetime]:
    """Return a window as two moments."""
    opens, closes = window
    return (
        moment(records.on_date, opens, records.zone),
        moment(records.on_date, closes, records.zone),
    )


def _waiting(visit: DueVisit, why_word: str, why: str) -> Waiting:
    """Return a visit that waits."""
    return Waiting(
        site_id=visit.site_id,
        site=visit.site_key,
        place=visit.site_name,
        lon_lat=visit.lon_lat,
        tasks=visit.tasks,
        due_on=visit.due_on,
        days_overdue=visit.days_overdue,
        minutes=visit.service_min,
        why_word=str(why_word),
        why=why,
        held=visit.hold is not None,
    )
