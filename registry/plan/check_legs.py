"""The independent judge of a leg: every way in which it can be driven from a moment on.

Nothing here is shared with the solvers nor with ``registry.plan.road_hours``.
"""

from collections.abc import Iterator
from typing import NamedTuple

from registry.plan.problem import UNREACHABLE_S, DayProblem, Lunch


class Driven(NamedTuple):
    """A leg that is behind: when work can start at its end, and what was driven."""

    ready_s: int
    drive_s: int
    drive_m: int


def driven_legs(
    problem: DayProblem, number: int, ends: tuple[int, int], now_s: int, lunch: Lunch | None
) -> Iterator[Driven]:
    """Yield every way to drive between two places, with lunch on it if one is given.

    The day's own table may be driven at any hour. That of a period is driven whole within it, lunch
    on the way included; before it begins the technician waits.
    """
    table = problem.technicians[number].table
    drive_s, drive_m = (int(one[ends]) for one in problem.travel_of(number))
    if drive_s < UNREACHABLE_S:
        yield from _with_lunch(now_s, None, drive_s, drive_m, lunch)
    for period in problem.hours.periods if problem.hours is not None else ():
        drive_s, drive_m = (int(one[ends]) for one in period.tables[table])
        if drive_s >= UNREACHABLE_S:
            continue
        from_s = max(now_s, period.from_s)
        yield from _with_lunch(from_s, period.to_s, drive_s, drive_m, lunch)
        if lunch is not None and max(now_s, lunch.from_s) <= lunch.to_s:
            off_s = max(max(now_s, lunch.from_s) + lunch.duration_s, period.from_s)
            if off_s + drive_s <= period.to_s:
                yield Driven(off_s + drive_s, drive_s, drive_m)


def _with_lunch(
    from_s: int, to_s: int | None, drive_s: int, drive_m: int, lunch: Lunch | None
) -> Iterator[Driven]:
    """Yield a drive that sets off at a moment and is over by another, None = whenever.

    Lunch is taken once there if it can begin there in its hours, else on the way.
    """
    there_s = from_s + drive_s
    if lunch is None:
        if to_s is None or there_s <= to_s:
            yield Driven(there_s, drive_s, drive_m)
        return
    fed_s = max(there_s, lunch.from_s) + lunch.duration_s
    if there_s <= lunch.to_s:
        if to_s is None or there_s <= to_s:
            yield Driven(fed_s, drive_s, drive_m)
    elif from_s <= lunch.to_s and (to_s is None or fed_s <= to_s):
        yield Driven(fed_s, drive_s, drive_m)
