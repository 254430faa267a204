"""The last look at a told day where roads are closed for hours: no drive lies in closed hours.

``registry.plan.check`` judges the order of stops; this judges the moments that people will read.
Nothing here is shared with ``registry.plan.clock``.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time

from registry.errors import PlanError
from registry.plan.problem import DayProblem
from registry.records.day import Day, Route
from registry.records.places import LonLat


def check_hours(day: Day, problem: DayProblem, places: Sequence[LonLat]) -> None:
    """Refuse a day on which somebody is on a road while it is closed.

    Parameters
    ----------
    day
        The day as it is told.
    problem
        What it was ordered from.
    places
        What the problem's indices mean.

    Raises
    ------
    PlanError
        Naming every such drive.
    """
    if problem.hours is None:
        return
    number_of = {who.id: k for k, who in enumerate(problem.technicians)}
    wrong = [
        f"{route.technician} is on the way to {name} while a road is closed."
        for route in day.routes
        for name, ends, span, drive_s in _drives(route, day.on_date)
        if not _is_open(
            problem,
            number_of[str(route.technician_id)],
            (places.index(ends[0]), places.index(ends[1])),
            span,
            drive_s,
        )
    ]
    if wrong:
        raise PlanError("The day is refused. " + " ".join(wrong))


def _is_open(
    problem: DayProblem, number: int, ends: tuple[int, int], span: tuple[int, int], drive_s: int
) -> bool:
    """Tell whether a drive of some length can be made on roads that are open in its span."""
    table = problem.technicians[number].table
    if problem.travel_of(number).travel_s[ends] <= drive_s:
        return True
    return any(
        one.tables[table].travel_s[ends] <= drive_s
        and one.from_s <= span[0]
        and span[1] <= one.to_s
        for one in (problem.hours.periods if problem.hours is not None else ())
    )


def _drives(
    route: Route, on_date: date
) -> Iterator[tuple[str, tuple[LonLat, LonLat], tuple[int, int], int]]:
    """Yield each drive: where to, between which places, from when to when, and its seconds."""
    here, lunch, driven_s = route.start, None, 0
    for stop in route.stops:
        if stop.kind == "lunch":
            lunch = (_second(stop.starts, on_date), _second(stop.leaves, on_date))
            continue
        there, drive_s = stop.lon_lat or here, round(stop.drive_s)
        driven_s += drive_s
        span = _span(_second(stop.arrives, on_date), drive_s, lunch)
        yield stop.site or stop.place, (here, there), span, drive_s
        here, lunch = there, None
    back_s = round(route.drive_s) - driven_s
    if route.stops:
        span = _span(_second(route.returns, on_date), back_s, lunch)
        yield "the end place", (here, route.end), span, back_s


def _span(arrives_s: int, drive_s: int, lunch: tuple[int, int] | None) -> tuple[int, int]:
    """Return from when to when a drive lasts, with a lunch that is taken on the way."""
    begins_s = arrives_s - drive_s
    if lunch is not None and begins_s < lunch[1] and lunch[0] < arrives_s:
        begins_s -= lunch[1] - lunch[0]
    return begins_s, arrives_s


def _second(moment: datetime, on_date: date) -> int:
    """Return the wall clock's seconds after a date's midnight."""
    return round((moment.replace(tzinfo=None) - datetime.combine(on_date, time())).total_seconds())
