"""What differs between a plan at hand and another: driving, visits that wait, ends of routes."""

from dataclasses import dataclass

from registry.plan.cost import route_cost
from registry.plan.drive_on import drive_on
from registry.plan.driving import drive_of
from registry.plan.from_day import AtHand
from registry.plan.problem import (
    UNREACHABLE_S,
    DayProblem,
    RouteCalls,
    Solution,
    with_appointed,
)
from registry.plan.say import clock, listed, more_or_less


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteSum:
    """What one technician's route comes to; ``returns_s`` None = nobody leaves.

    ``cut_off`` counts drives on which no road leads any more; they are in none of the sums.
    """

    technician: str
    visits: int = 0
    drive_s: int = 0
    drive_m: int = 0
    cost_s: int = 0
    returns_s: int | None = None
    cut_off: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What would be different: changes in seconds and metres, visits by name.

    ``made`` are visits that waited and would be made, ``waits`` the other way round. ``not_kept``
    are visits that must be made and for which no room was found. ``routes`` pairs each technician's
    route before and after. ``since_s``: the day has begun, and only what is open from then on is
    told. [s after midnight]
    """

    drive_s: int
    drive_m: int
    cost_s: int
    made: tuple[str, ...]
    waits: tuple[str, ...]
    not_kept: tuple[str, ...]
    routes: tuple[tuple[RouteSum, RouteSum], ...]
    since_s: int | None = None


def difference(before: AtHand, problem: DayProblem, after: Solution) -> WhatIf:
    """Return what differs between a plan at hand and one of a changed problem.

    Visits and technicians are told apart by their ids, so the problems may differ in both.
    """
    then = with_appointed(problem, after.appointed)
    was, now = _made(before.problem, before.routes), _made(problem, after.routes)
    names = {one.id: one.name for one in (*before.problem.visits, *problem.visits)}
    old, new = _sums(before.fixed, before.routes), _sums(then, after.routes)
    routes = tuple(
        (
            old.get(id_) or RouteSum(technician=new[id_].technician),
            new.get(id_) or RouteSum(technician=old[id_].technician),
        )
        for id_ in dict.fromkeys((*old, *new))
    )
    return WhatIf(
        drive_s=sum(b.drive_s - a.drive_s for a, b in routes),
        drive_m=sum(b.drive_m - a.drive_m for a, b in routes),
        cost_s=sum(b.cost_s - a.cost_s for a, b in routes)
        + _waits_s(problem, now)
        - _waits_s(before.problem, was),
        made=tuple(names[one] for one in now if one not in was),
        waits=tuple(names[one] for one in was if one not in now),
        not_kept=tuple(one.name for one in problem.visits if one.required and one.id not in now),
        routes=routes,
    )


def _made(problem: DayProblem, routes: tuple[RouteCalls, ...]) -> dict[str, None]:
    """Return the ids of the visits on routes, in their order."""
    return {
        problem.visits[call.which].id: None
        for calls in routes
        for call in calls
        if not call.is_fill
    }


def _sums(problem: DayProblem, routes: tuple[RouteCalls, ...]) -> dict[str, RouteSum]:
    """Return what each technician's route comes to, by the technician's id."""
    return {
        who.id: _sum(problem, k, calls)
        for k, (who, calls) in enumerate(zip(problem.technicians, routes, strict=True))
    }


def _sum(problem: DayProblem, k: int, calls: RouteCalls) -> RouteSum:
    name = problem.technicians[k].name
    if not calls:
        return RouteSum(technician=name)
    returns_s = drive_on(problem, k, calls).times.returns_s
    drive_s, drive_m = drive_of(problem, k, calls)
    cut_off = drive_s // UNREACHABLE_S
    return RouteSum(
        technician=name,
        visits=sum(not call.is_fill for call in calls),
        drive_s=drive_s % UNREACHABLE_S,
        drive_m=drive_m % UNREACHABLE_S,
        cost_s=route_cost(problem, k, calls, returns_s) - cut_off * UNREACHABLE_S,
        returns_s=returns_s,
        cut_off=cut_off,
    )


def _waits_s(problem: DayProblem, made: dict[str, None]) -> int:
    """Return the worth of what is on no route."""
    return sum(one.worth_s for one in problem.visits if one.id not in made)


def said(what: WhatIf) -> tuple[str, ...]:
    """Return a difference as sentences."""
    told = []
    if what.since_s is not None:
        told.append(f"The day has begun: told is what is open from {clock(what.since_s)} on.")
    told.append(f"Driving: {more_or_less(what.drive_s)}.")
    if cut_off := sum(before.cut_off for before, _ in what.routes):
        told.append(
            f"Roads were closed since the plan in force was made: {cut_off} of its drives are left "
            "out of these sums. Order again what is open first."
        )
    if what.made:
        told.append(f"Would be made: {listed(what.made)}.")
    if what.waits:
        told.append(f"Would have to wait: {listed(what.waits)}.")
    if not what.made and not what.waits:
        told.append("The same visits wait.")
    if what.not_kept:
        told.append(f"No room was found for {listed(what.not_kept)}.")
    told += [
        f"{after.technician} {_when(before.returns_s, after.returns_s)}."
        for before, after in what.routes
        if before.returns_s != after.returns_s
    ]
    return tuple(told)


def _when(before_s: int | None, after_s: int | None) -> str:
    """Say when a route would be over."""
    if after_s is None:
        return "would stay in"
    if before_s is None:
        return f"would be back at {clock(after_s)}"
    return f"would be back at {clock(after_s)} in place of {clock(before_s)}"
