"""A plan that stands, mended after something changed: no search from nothing, but from that plan.

What does not hold any more is taken off its route, the cheapest visits first; linked visits keep
the moments that the plan gave them where that is still possible; then a short annealing puts back
what fits and improves the rest.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from registry.plan.problem import (
    ANYWHERE,
    Appointed,
    Call,
    DayProblem,
    RouteCalls,
    Solution,
    places_of,
)
from registry.plan.shortfall import short_s
from registry.solvers.budget import Budget, Clock, wall_clock
from registry.solvers.knots import Tied, knots_of
from registry.solvers.linked import appointed_in, holds, standing, tie_all
from registry.solvers.mend import mended
from registry.solvers.nothing import nothing_to_order
from registry.solvers.ruin_recreate import temper
from registry.solvers.search.run import Run, nodes_of

WARM, COOL = 1.0, 0.05
"""Temperatures of the short annealing, in mean drives: it stays near the plan that stood."""

type Routes = tuple[RouteCalls, ...]


@dataclass(frozen=True, slots=True)
class Repairer:
    """Mends and improves a plan that stands; a round is a round of ruin and recreate."""

    clock: Clock = wall_clock

    def repair(
        self,
        problem: DayProblem,
        start: Routes,
        *,
        appointed: Sequence[Appointed] = (),
        seconds: float | None = None,
        rounds: int | None = None,
        seed: int = 1,
    ) -> Solution:
        """Return the best routes found from a plan; see ``RouteRepairer``."""
        budget = Budget(seconds, rounds, self.clock)
        engine = "repair of the plan that stood"
        if (empty := nothing_to_order(problem, engine)) is not None:
            return empty
        tied = tied_as_before(problem, start, appointed)
        routes = tuple(
            calls if short_s(tied.problem, k, calls) == 0 else mended(tied.problem, k, calls)
            for k, calls in enumerate(_permitted(tied))
        )
        run = Run(tied.problem, seed, 1)
        run.stand_at([nodes_of(tied.problem, calls) for calls in routes])
        budget.begin()
        run.cool(temper(run.scale, WARM, COOL), budget, 1.0, lambda _: None)
        stood = Solution(
            routes=start,
            engine=engine,
            appointed=tuple(appointed),
            rounds=budget.done,
            seconds=budget.elapsed,
        )
        found = [_told(problem, tied, one, stood) for one in (routes, run.best_routes())]
        if holds(problem, stood):
            found.insert(0, stood)
        return min(found, key=lambda one: standing(problem, one))


def _told(problem: DayProblem, tied: Tied, routes: Routes, like: Solution) -> Solution:
    """Return routes as an answer, without visits whose partner is on none."""
    whole = whole_knots(problem, routes)
    made = {call.which for calls in whole for call in calls if not call.is_fill}
    windows = (one for one in appointed_in(problem, tied.problem) if one.visit in made)
    return replace(like, routes=whole, appointed=tuple(windows))


def tied_as_before(problem: DayProblem, start: Routes, appointed: Sequence[Appointed]) -> Tied:
    """Return a plan without links: knots that still stand are fixed, the others tied anew."""
    windows = {one.visit: one for one in appointed}
    plan = Tied(problem, start)
    links = list(problem.links)
    for knot in knots_of(problem):
        fixed = _fixed(plan, knot, windows)
        if fixed is not None:
            plan = fixed
            links = [one for one in links if one.first not in knot]
    left = replace(plan.problem, links=tuple(links))
    again = knots_of(left)
    members = {visit for knot in again for visit in knot}
    free = tuple(
        tuple(call for call in calls if call.is_fill or call.which not in members)
        for calls in plan.routes
    )
    return tie_all(left, free, again)


def _fixed(plan: Tied, knot: Sequence[int], windows: dict[int, Appointed]) -> Tied | None:
    """Return a plan in which a knot is held as it stands, None if it does not stand."""
    for visit in knot:
        technician = plan.route_of(visit)
        if technician is None or visit not in windows:
            return None
        if not plan.problem.may_make(technician, visit):
            return None
        calls = plan.routes[technician]
        _, opens_s, closes_s = windows[visit]
        place = plan.problem.visits[visit].place
        if place == ANYWHERE:
            place = places_of(plan.problem, technician, calls)[calls.index(Call(visit))]
        plan = plan.with_visit(
            visit,
            windows=((opens_s, closes_s),),
            required=True,
            held_by=technician,
            place=place,
        )
    touched = {plan.route_of(visit) for visit in knot}
    stands = all(short_s(plan.problem, k, plan.routes[k]) == 0 for k in touched if k is not None)
    return plan if stands else None


def _permitted(tied: Tied) -> Routes:
    """Return the routes without visits that their technicians may not make."""
    return tuple(
        tuple(one for one in calls if one.is_fill or tied.problem.may_make(k, one.which))
        for k, calls in enumerate(tied.routes)
    )


def whole_knots(problem: DayProblem, routes: Routes) -> Routes:
    """Return routes without visits whose partner, or whose forerunner, is on none."""
    made = {call.which for calls in routes for call in calls if not call.is_fill}
    gone = {
        link.then if link.first not in made else link.first
        for link in problem.links
        if (link.first not in made and link.then in made)
        or (link.together and link.then not in made and link.first in made)
    }
    if not gone:
        return routes
    kept = tuple(
        tuple(call for call in calls if call.is_fill or call.which not in gone) for calls in routes
    )
    return whole_knots(problem, kept)
