"""Which visits would have to fall out so that one more fits on a route, and what that costs."""

from dataclasses import dataclass

from registry.plan.cost import route_cost
from registry.plan.driving import drive_of
from registry.plan.gaps import Clocks
from registry.plan.problem import DayProblem, RouteCalls
from registry.plan.shortfall import short_s
from registry.plan.ways import Way, best_way, cheapest_fit

MOST_OUT = 4
"""So many visits may fall out for one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomMade:
    """A route with one visit more and the visits ``out`` fewer.

    ``added_s`` is the change of driving, ``price_s`` that of the whole day's cost. [s]
    """

    technician: int
    calls: RouteCalls
    out: tuple[int, ...]
    added_s: int
    price_s: int


def room_made(
    problem: DayProblem,
    technician: int,
    calls: RouteCalls,
    visit: int,
    most_out: int = MOST_OUT,
    known: Clocks | None = None,
) -> RoomMade | None:
    """Return the cheapest way to fit a visit on a route by leaving others out; None if none does.

    First every single visit is tried; where none is enough, the one that helps most is left out
    and the rest tried again. A visit that must be made, or that another depends on, stays.
    ``known`` is what was found out about the day before.
    """
    known = known or Clocks(problem)
    out: tuple[int, ...] = ()
    kept = calls
    while True:
        fewer = [
            ((*kept[:at], *kept[at + 1 :]), (*out, call.which))
            for at, call in enumerate(kept)
            if not call.is_fill and may_fall_out(problem, call.which)
        ]
        fitting = [
            made(problem, technician, calls, way, gone, visit, known)
            for shorter, gone in fewer
            if (way := cheapest_fit(problem, technician, shorter, visit, known)) is not None
        ]
        if fitting:
            return min(fitting, key=lambda one: one.price_s)
        if not fewer or len(out) + 1 == most_out:
            return None
        kept, out = min(
            fewer,
            key=lambda one: (
                best_way(problem, technician, one[0], visit, known).short_s,
                problem.visits[one[1][-1]].worth_s,
            ),
        )


def made(
    problem: DayProblem,
    technician: int,
    before: RouteCalls,
    way: Way,
    out: tuple[int, ...],
    visit: int,
    known: Clocks | None = None,
) -> RoomMade:
    """Return what a route with a visit more and some fewer costs."""
    known = known or Clocks(problem)
    drive_s = drive_of(problem, technician, way.calls)[0]
    price_s = route_cost(problem, technician, way.calls, drive_s=drive_s)
    price_s -= known.told(cost_or_drive, technician, before)
    price_s += sum(problem.visits[one].worth_s for one in out) - problem.visits[visit].worth_s
    return RoomMade(
        technician=technician,
        calls=way.calls,
        out=out,
        added_s=drive_s - known.told(drive_of, technician, before)[0],
        price_s=price_s,
    )


def cost_or_drive(problem: DayProblem, technician: int, calls: RouteCalls) -> int:
    """Return what a route costs; that of its driving where it does not keep its hours."""
    if short_s(problem, technician, calls):
        return drive_of(problem, technician, calls)[0]
    return route_cost(problem, technician, calls)


def may_fall_out(problem: DayProblem, visit: int) -> bool:
    """Tell whether a visit may be left out for another."""
    linked = any(visit in (link.first, link.then) for link in problem.links)
    return not problem.visits[visit].required and not linked
