"""Putting visits that depend on each other on routes: where, by whom, and at which moment.

A knot is a set of visits joined by links. One member after the other is put into the gap that costs
least among those where all links can still be kept. The moments at which linked visits meet become
windows of these visits, so that from there on each route can be searched by itself.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from registry.errors import PlanError
from registry.plan.clock import route_times
from registry.plan.cost import route_cost
from registry.plan.problem import (
    ANYWHERE,
    Call,
    DayProblem,
    DayVisit,
    Link,
    RouteCalls,
    Window,
    places_of,
)
from registry.plan.shortfall import NEVER_S, short_s

STEP_S = 300
"""Moments of linked visits are looked for this close together."""
MOST_GAPS_EACH = 3
"""Gaps where a visit can be placed that are followed further, per technician."""


@dataclass(frozen=True, slots=True, eq=False)
class Tied:
    """A plan in the making; in ``problem`` the visits put on routes have the windows given."""

    problem: DayProblem
    routes: tuple[RouteCalls, ...]

    def with_visit(self, visit: int, **fields: object) -> "Tied":
        """Return the same plan with some fields of a visit changed."""
        visits = list(self.problem.visits)
        visits[visit] = replace(visits[visit], **fields)  # type: ignore[arg-type]
        return replace(self, problem=replace(self.problem, visits=tuple(visits)))

    def route_of(self, visit: int) -> int | None:
        """Return who makes a visit."""
        return next((k for k, calls in enumerate(self.routes) if Call(visit) in calls), None)


class Gap(NamedTuple):
    """A place on a route for a visit, and what it adds to the cost. [s]."""

    added: int
    technician: int
    at: int


def knots_of(problem: DayProblem) -> list[tuple[int, ...]]:
    """Return the sets of visits that depend on each other, and each visit made anywhere alone.

    The members of a knot stand in the order in which they are put on routes; knots with a visit
    that must be made come first, then those that are worth most.

    Raises
    ------
    PlanError
        If visits wait for each other in a circle.
    """
    group = {visit: {visit} for link in problem.links for visit in (link.first, link.then)}
    group |= {i: {i} for i, one in enumerate(problem.visits) if one.place == ANYWHERE} | group
    for link in problem.links:
        both = group[link.first] | group[link.then]
        group |= dict.fromkeys(both, both)
    knots = {_in_order(problem, members) for members in group.values()}

    def standing(knot: tuple[int, ...]) -> tuple[bool, int, tuple[int, ...]]:
        members: list[DayVisit] = [problem.visits[one] for one in knot]
        worth_s = sum(one.worth_s for one in members)
        return not any(one.required for one in members), -worth_s, knot

    return sorted(knots, key=standing)


def _in_order(problem: DayProblem, members: set[int]) -> tuple[int, ...]:
    """Return members so that whoever comes first in time is put on a route first."""
    left, ordered = sorted(members), list[int]()
    before = {(link.first, link.then) for link in problem.links if not link.together}
    while left:
        free = [one for one in left if not any((other, one) in before for other in left)]
        if not free:
            names = ", ".join(problem.visits[one].name for one in left)
            raise PlanError(f"These visits wait for each other in a circle: {names}.")
        ordered.append(free[0])
        left.remove(free[0])
    return tuple(ordered)


def tie(plan: Tied, members: Sequence[int], below_s: int = NEVER_S) -> Tied | None:
    """Put all members of a knot on routes at the least cost found.

    None if there is no room for all of them at a cost below ``below_s``.
    """
    if not members:
        return plan if below_s > 0 else None
    best: Tied | None = None
    tried: Counter[int] = Counter()
    for gap in sorted(gaps_for(plan, members[0])):
        if gap.added >= below_s:
            break
        if tried[gap.technician] >= MOST_GAPS_EACH:
            continue
        placed = _placed(plan, members[0], gap)
        if placed is None:
            continue
        tried[gap.technician] += 1
        whole = tie(placed, members[1:], below_s - gap.added)
        if whole is not None:
            best, below_s = whole, added_by(plan, whole)
    return best


def added_by(plan: Tied, more: Tied) -> int:
    """Return what the routes of one plan cost more than those of another."""
    return sum(
        route_cost(more.problem, k, calls) - route_cost(plan.problem, k, before)
        for k, (before, calls) in enumerate(zip(plan.routes, more.routes, strict=True))
        if calls != before
    )


def gaps_for(plan: Tied, visit: int) -> Iterator[Gap]:
    """Yield every gap of every route where a visit fits; links are not looked at yet."""
    for k, calls in enumerate(plan.routes):
        if not plan.problem.may_make(k, visit):
            continue
        before = route_cost(plan.problem, k, calls)
        for at in range(len(calls) + 1):
            new = (*calls[:at], Call(visit), *calls[at:])
            if short_s(plan.problem, k, new) == 0:
                yield Gap(route_cost(plan.problem, k, new) - before, k, at)


def moments_for(
    problem: DayProblem, technician: int, calls: RouteCalls, visit: int
) -> Window | None:
    """Return the first and last moment at which a visit of a route can start, None if none.

    Later is never better for what follows, so the last one is found by halving.
    """
    at = calls.index(Call(visit))
    if short_s(problem, technician, calls) > 0:
        return None
    try:
        first_s = route_times(problem, technician, calls[: at + 1]).calls[at].starts_s
    except PlanError:
        return None
    closes_s = max(closes for _, closes in problem.visits[visit].windows)
    low, high = 0, max(0, closes_s - first_s) // STEP_S
    while low < high:
        middle = (low + high + 1) // 2
        moment = first_s + middle * STEP_S
        late = Tied(problem, ()).with_visit(visit, windows=((moment, moment),)).problem
        if short_s(late, technician, calls) == 0:
            low = middle
        else:
            high = middle - 1
    return first_s, first_s + low * STEP_S


def _placed(plan: Tied, visit: int, gap: Gap) -> Tied | None:
    """Return the plan with a visit in a gap and all its links kept, None if one cannot be."""
    calls = plan.routes[gap.technician]
    place = places_of(plan.problem, gap.technician, calls)[gap.at]
    routes = list(plan.routes)
    routes[gap.technician] = (*calls[: gap.at], Call(visit), *calls[gap.at :])
    placed = replace(plan, routes=tuple(routes))
    if plan.problem.visits[visit].place == ANYWHERE:
        placed = placed.with_visit(visit, place=place, held_by=gap.technician)
    for link in plan.problem.links:
        other = {link.first: link.then, link.then: link.first}.get(visit)
        if other is None or plan.route_of(other) is None:
            continue
        met = _together(placed, link) if link.together else _in_turn(placed, link)
        if met is None:
            return None
        placed = met
    return placed


def _together(plan: Tied, link: Link) -> Tied | None:
    """Appoint two visits to the first moment at which both technicians can be there."""
    one, other = plan.route_of(link.first), plan.route_of(link.then)
    if one is None or other is None or one == other:
        return None
    spans = [
        moments_for(plan.problem, k, plan.routes[k], visit)
        for k, visit in ((one, link.first), (other, link.then))
    ]
    if spans[0] is None or spans[1] is None:
        return None
    moment = max(spans[0][0], spans[1][0])
    for visit, k in ((link.first, one), (link.then, other)):
        if not any(a <= moment <= b for a, b in plan.problem.visits[visit].windows):
            return None
        plan = plan.with_visit(visit, windows=((moment, moment),), held_by=k)
    return plan if _all_hold(plan, (one, other)) else None


def _in_turn(plan: Tied, link: Link) -> Tied | None:
    """Set a moment by which the first visit is over and from which the second one starts."""
    one, other = plan.route_of(link.first), plan.route_of(link.then)
    if one is None or other is None or (link.same_truck and one != other):
        return None
    span = moments_for(plan.problem, one, plan.routes[one], link.first)
    then = moments_for(plan.problem, other, plan.routes[other], link.then)
    if span is None or then is None:
        return None
    first = plan.problem.visits[link.first]
    over_s = span[0] + first.service_s
    for moment in sorted({(over_s + then[1]) // 2, over_s}, reverse=True):
        opened = _window_at(first.windows, span[0])
        started = _window_at(plan.problem.visits[link.then].windows, max(then[0], moment))
        if opened is None or started is None or moment < over_s:
            continue
        closes_s = min(opened[1], moment - first.service_s)
        tied = plan.with_visit(link.first, windows=((opened[0], closes_s),))
        tied = tied.with_visit(link.then, windows=((max(started[0], moment), started[1]),))
        if link.same_truck:
            tied = tied.with_visit(link.first, held_by=one).with_visit(link.then, held_by=one)
        if _all_hold(tied, (one, other)):
            return tied
    return None


def _window_at(windows: Sequence[Window], moment_s: int) -> Window | None:
    """Return the first window that a start at a moment or later can use."""
    return next((window for window in windows if moment_s <= window[1]), None)


def _all_hold(plan: Tied, technicians: Sequence[int]) -> bool:
    return all(short_s(plan.problem, k, plan.routes[k]) == 0 for k in technicians)
