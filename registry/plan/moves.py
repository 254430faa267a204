"""One change of a day made by hand: what it does to the routes it touches, and what it costs.

A change is worked out also where it breaks something: times run on, and every limit is told at the
stop where it gives way. ``registry.plan.check`` judges the whole day once more before it is kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from registry.errors import RangeError
from registry.plan.breach import BreachKind
from registry.plan.broken import (
    Broken,
    broken_by_hours,
    broken_by_leave,
    broken_by_links,
    tanks_along,
)
from registry.plan.clock import RouteTimes
from registry.plan.cost import route_cost, waiting_worth_s
from registry.plan.drive_on import drive_on
from registry.plan.driving import drive_of
from registry.plan.gaps import Clocks
from registry.plan.problem import UNREACHABLE_S, Call, DayProblem, RouteCalls

type Routes = tuple[RouteCalls, ...]
type At = tuple[int, int]
"""A technician, and the number of a call on that route."""

_MOVED_MEANWHILE = "The routes are not as this page knows them. Load the page again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A call taken from where it stands (None: from no route) and put elsewhere (None: nowhere).

    ``to`` counts the calls that are left once the call is taken away.
    """

    call: Call
    at: At | None = None
    to: At | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteSeen:
    """One route as it would be driven, and where it breaks what.

    ``water_gal`` and ``room_gal`` hold what is left in the tank and for septage once each call is
    over, None where no limit is known. ``drive_s`` and ``drive_m`` leave out roads that are not
    there, ``cost_s`` (what the route costs) counts them.
    """

    technician: int
    calls: RouteCalls
    times: RouteTimes
    drive_s: int
    drive_m: int
    cost_s: int
    water_gal: tuple[float | None, ...]
    room_gal: tuple[float | None, ...]
    broken: tuple[Broken, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A changed day: the routes that differ, and the change of driving, waiting worth and cost.

    ``off`` are visits that must be made and are on no route. All changes in seconds of driving.
    """

    routes: tuple[RouteSeen, ...]
    off: tuple[Broken, ...]
    drive_s: int
    waiting_s: int
    cost_s: int

    @property
    def holds(self) -> bool:
        """Whether nothing is broken on the routes that differ."""
        return not self.off and not any(route.broken for route in self.routes)


def edited(routes: Routes, edit: Edit) -> Routes:
    """Return routes after a change.

    Raises
    ------
    RangeError
        If the call is not where the change says, stands on a route already, or the place is none.
    """
    left = [list(calls) for calls in routes]
    if edit.at is not None:
        k, number = edit.at
        if not _is_at(left, edit.at, 0) or left[k][number] != edit.call:
            raise RangeError(_MOVED_MEANWHILE)
        del left[k][number]
    elif not edit.call.is_fill and any(edit.call in calls for calls in left):
        raise RangeError(_MOVED_MEANWHILE)
    if edit.to is not None:
        if not _is_at(left, edit.to, 1):
            raise RangeError(_MOVED_MEANWHILE)
        left[edit.to[0]].insert(edit.to[1], edit.call)
    return tuple(tuple(calls) for calls in left)


def _is_at(routes: Sequence[Sequence[Call]], at: At, beyond: int) -> bool:
    """Tell whether there is such a call, or with ``beyond`` 1 such a place between calls."""
    return 0 <= at[0] < len(routes) and 0 <= at[1] < len(routes[at[0]]) + beyond


def see_route(problem: DayProblem, technician: int, calls: RouteCalls) -> RouteSeen:
    """Return one route as it would be driven, feasible or not."""
    driven = drive_on(problem, technician, calls)
    drive_s, drive_m = (along % UNREACHABLE_S for along in drive_of(problem, technician, calls))
    tanks = tanks_along(problem, technician, calls)
    found = [
        *broken_by_leave(problem, technician, calls),
        *tanks.broken,
        *broken_by_hours(problem, technician, calls, driven, drive_s),
    ]
    return RouteSeen(
        technician=technician,
        calls=calls,
        times=driven.times,
        drive_s=drive_s,
        drive_m=drive_m,
        cost_s=route_cost(problem, technician, calls, driven.times.returns_s),
        water_gal=tanks.water_gal,
        room_gal=tanks.room_gal,
        broken=tuple(sorted(found, key=lambda one: one.at)) if calls else (),
    )


def see_routes(
    problem: DayProblem, routes: Routes, which: Sequence[int], known: Clocks | None = None
) -> tuple[RouteSeen, ...]:
    """Return some routes of a day as they would be driven, with what linked visits break there.

    ``known`` is what was found out about the day before.
    """
    known = known or Clocks(problem)

    def seen(k: int) -> RouteSeen:
        return known.told(see_route, k, routes[k])

    links = list(broken_by_links(problem, routes, lambda k: seen(k).times))
    return tuple(
        replace(seen(k), broken=(*seen(k).broken, *(broken for who, broken in links if who == k)))
        for k in which
    )


def try_routes(
    problem: DayProblem, before: Routes, after: Routes, known: Clocks | None = None
) -> Tried:
    """Return what changed routes come to, against those that they were made from.

    ``known`` is what was found out about the day before.

    Raises
    ------
    RangeError
        If the routes name a technician or a call that the day has not, or a visit twice.
    """
    refuse_unknown(problem, after)
    differ = [k for k, calls in enumerate(after) if calls != before[k]]
    known = known or Clocks(problem)
    now = see_routes(problem, after, differ, known)
    was = [known.told(see_route, k, before[k]) for k in differ]
    waiting_s = waiting_worth_s(problem, after) - waiting_worth_s(problem, before)
    return Tried(
        routes=now,
        off=required_off(problem, after),
        drive_s=sum(one.drive_s for one in now) - sum(one.drive_s for one in was),
        waiting_s=waiting_s,
        cost_s=sum(one.cost_s for one in now) - sum(one.cost_s for one in was) + waiting_s,
    )


def refuse_unknown(problem: DayProblem, routes: Routes) -> None:
    """Refuse routes of another day, and those that make a visit twice.

    Raises
    ------
    RangeError
        Saying that the page is to be loaded again.
    """
    visits = [call.which for calls in routes for call in calls if not call.is_fill]
    fills = [call.which for calls in routes for call in calls if call.is_fill]
    known = all(0 <= one < len(problem.visits) for one in visits)
    known &= all(0 <= one < len(problem.fills) for one in fills)
    if len(routes) != len(problem.technicians) or not known or len(set(visits)) < len(visits):
        raise RangeError(_MOVED_MEANWHILE)


def required_off(problem: DayProblem, routes: Routes) -> tuple[Broken, ...]:
    """Return the visits that must be made and are on no route."""
    made = {call.which for calls in routes for call in calls if not call.is_fill}
    return tuple(
        Broken(0, BreachKind.REQUIRED, f"{visit.name} is held for this day and is on no route")
        for i, visit in enumerate(problem.visits)
        if visit.required and i not in made
    )
