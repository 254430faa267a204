"""The parts of small days: technicians, visits, a straight road, routes."""

from collections.abc import Sequence

import numpy as np

from registry.plan.problem import (
    Call,
    DayFill,
    DayProblem,
    DayVisit,
    Lunch,
    OnDuty,
    RouteCalls,
)

MIN = 60
HOUR = 3600
ALL_DAY = ((0, 24 * HOUR),)
LUNCH = Lunch(from_s=11 * HOUR, to_s=12 * HOUR, duration_s=30 * MIN)


def technician(number: int = 1, place: int = 0, **fields) -> OnDuty:
    """A technician who works from 8 to 17 and starts and ends at one place."""
    known = {
        "id": f"T{number}",
        "name": f"Technician {number}",
        "start_place": place,
        "end_place": place,
        "shift_from_s": 8 * HOUR,
        "shift_to_s": 17 * HOUR,
    }
    return OnDuty(**(known | fields))


def visit(name: str, place: int, **fields) -> DayVisit:
    """A visit of half an hour at any time, worth three hours of driving."""
    known = {
        "id": name,
        "name": f"Site {name}",
        "place": place,
        "service_s": 30 * MIN,
        "windows": ALL_DAY,
        "worth_s": 3 * HOUR,
    }
    return DayVisit(**(known | fields))


def on_a_line(
    minutes: Sequence[float],
    visits: Sequence[DayVisit],
    crew: Sequence[OnDuty] | None = None,
    fills: Sequence[DayFill] = (),
) -> DayProblem:
    """A day on one straight road: place i lies so many minutes from its beginning."""
    at = np.array(minutes, float)
    travel_s = np.rint(np.abs(at[:, None] - at[None, :]) * MIN).astype(np.int64)
    return DayProblem(
        name="line",
        travel_s=travel_s,
        travel_m=travel_s * 15,
        technicians=tuple(crew) if crew is not None else (technician(),),
        visits=tuple(visits),
        fills=tuple(fills),
    )


def route(*stops: int | str) -> RouteCalls:
    """Calls of a route: a number is a visit, a text such as "f0" a fill point."""
    return tuple(
        Call(stop) if isinstance(stop, int) else Call(int(stop[1:]), is_fill=True) for stop in stops
    )
