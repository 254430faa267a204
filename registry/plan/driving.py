"""What is driven on a route."""

from collections.abc import Sequence
from itertools import pairwise

from registry.plan.breach import BreachKind
from registry.plan.clock import Leg, legs_of
from registry.plan.drive_on import driven_on
from registry.plan.problem import UNREACHABLE_S, DayProblem, RouteCalls, places_of


def drive_of(problem: DayProblem, technician: int, calls: RouteCalls) -> tuple[int, int]:
    """Return seconds and metres driven on a route; an empty route is not driven.

    A leg that no road leads along counts ``UNREACHABLE_S`` of each.
    """
    if not calls:
        return 0, 0
    if problem.hours is not None:
        return _by_hour(problem, technician, legs_of(problem, technician, calls))
    travel_s, travel_m = problem.travel_of(technician)
    legs = list(pairwise(places_of(problem, technician, calls)))
    return (
        sum(int(travel_s[a, b]) for a, b in legs),
        sum(int(travel_m[a, b]) for a, b in legs),
    )


def driven_s(problem: DayProblem, technician: int, legs: Sequence[Leg]) -> int:
    """Return seconds driven along the legs of a route; see ``drive_of``."""
    if any(leg.ways for leg in legs):
        return _by_hour(problem, technician, legs)[0]
    return sum(leg.drive_s for leg in legs)


def _by_hour(problem: DayProblem, technician: int, legs: Sequence[Leg]) -> tuple[int, int]:
    if not any(leg.ways for leg in legs):
        return sum(leg.drive_s for leg in legs), sum(leg.drive_m for leg in legs)
    driven = driven_on(problem.technicians[technician], legs)
    ways = [drive.way for drive in driven.times.drives]
    off = UNREACHABLE_S * sum(one.kind is BreachKind.UNREACHABLE for one in driven.late)
    return off + sum(one.drive_s for one in ways), off + sum(one.drive_m for one in ways)
