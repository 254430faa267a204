"""Days on which roads are closed for hours, for parts that know one travel table at any hour.

The day is ordered twice: keeping off these roads all day, which always holds, and as if they were
open, with visits beyond them in the hours in which they can be reached. Both plans are driven by
the exact clock, mended where that does not let them hold, and made better under it; the best
counts. A day without such hours is passed on as it is.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from registry.plan.ports import ProgressLine, RouteRepairer, RouteSolver, Stop
from registry.plan.problem import (
    Appointed,
    DayProblem,
    RouteCalls,
    Solution,
    with_appointed,
)
from registry.plan.road_hours import at_any_hour
from registry.plan.shortfall import short_s
from registry.solvers.budget import Budget, Clock, wall_clock
from registry.solvers.knots import knots_of
from registry.solvers.linked import holds, standing
from registry.solvers.mend import mended
from registry.solvers.open_hours import in_open_hours
from registry.solvers.polish import Polish
from registry.solvers.repair import whole_knots

SHARE = 0.35
"""Share of the effort for each of the two plans; what is left makes the better one better."""
LEAST_TURNS, ROUNDS_A_TURN = 30, 20
"""Where effort is counted in rounds: so many turns under the exact clock."""

type Routes = tuple[RouteCalls, ...]


@dataclass(frozen=True, slots=True)
class HoursSolver:
    """A solver for roads that are closed for hours, around one that knows no hours."""

    inner: RouteSolver
    clock: Clock = wall_clock

    def solve(
        self,
        problem: DayProblem,
        *,
        seconds: float | None = None,
        rounds: int | None = None,
        seed: int = 1,
        progress: ProgressLine | None = None,
        stop: Stop | None = None,
    ) -> Solution:
        """Return the best routes found; see ``RouteSolver``."""
        if problem.hours is None or not problem.technicians:
            return self.inner.solve(
                problem, seconds=seconds, rounds=rounds, seed=seed, progress=progress, stop=stop
            )
        budget = Budget(seconds, rounds, self.clock, stop)
        found = [
            self.inner.solve(day, **budget.part(SHARE), seed=seed, progress=said, stop=stop)
            for day, said in ((at_any_hour(problem), progress), (in_open_hours(problem), None))
        ]
        budget.done = sum(one.rounds for one in found)
        budget.teller(progress)("Putting the routes by the hours of the closed roads.", None)
        return best_by_hour(problem, found, budget, seed)


@dataclass(frozen=True, slots=True)
class HoursRepairer:
    """A repairer for roads that are closed for hours, around one that knows no hours."""

    inner: RouteRepairer
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
        if problem.hours is None or not problem.technicians:
            return self.inner.repair(
                problem, start, appointed=appointed, seconds=seconds, rounds=rounds, seed=seed
            )
        budget = Budget(seconds, rounds, self.clock)
        found = [
            self.inner.repair(day, start, appointed=appointed, **budget.part(SHARE), seed=seed)
            for day in (at_any_hour(problem), in_open_hours(problem))
        ]
        budget.done = sum(one.rounds for one in found)
        stood = replace(found[0], routes=start, appointed=tuple(appointed))
        return best_by_hour(problem, [stood, *found], budget, seed)


def best_by_hour(
    problem: DayProblem, found: Sequence[Solution], budget: Budget, seed: int
) -> Solution:
    """Return the best of some plans, each driven by the exact clock, and made better under it."""
    known = [put_right(problem, one, budget.is_over()) for one in found]
    known.sort(key=lambda one: standing(problem, one))
    best = next((one for one in known if holds(problem, one)), None)
    if best is None:
        raise AssertionError("a plan without routes holds")
    told = with_appointed(problem, best.appointed)
    polish = Polish(told, list(best.routes), _fixed(problem), np.random.default_rng([17, seed]))
    turns = max(LEAST_TURNS, (budget.rounds or 0) // ROUNDS_A_TURN)
    budget.done += polish.run(budget.is_over(turns))
    better = replace(best, routes=tuple(polish.routes))
    if standing(problem, better) < standing(problem, best) and holds(problem, better):
        best = better
    return replace(
        best,
        engine=f"{best.engine}, put by the hours of closed roads",
        rounds=budget.done,
        seconds=budget.elapsed,
    )


def put_right(problem: DayProblem, plan: Solution, is_over: Callable[[], bool]) -> Solution:
    """Return a plan without what its hours do not allow, and with what waits and now fits.

    Once ``is_over`` says true nothing more is put in.
    """
    told = with_appointed(problem, plan.appointed)
    routes = tuple(
        calls if short_s(told, k, calls) == 0 else mended(told, k, calls)
        for k, calls in enumerate(plan.routes)
    )
    routes = whole_knots(problem, routes)
    polish = Polish(told, list(routes), _fixed(problem), np.random.default_rng(0))
    polish.fill_up(is_over)
    made = {one.which for calls in polish.routes for one in calls if not one.is_fill}
    return replace(
        plan,
        routes=tuple(polish.routes),
        appointed=tuple(one for one in plan.appointed if one.visit in made),
    )


def _fixed(problem: DayProblem) -> set[int]:
    """Return the visits that stay where a plan has them: what depends on them was put there."""
    return {visit for knot in knots_of(problem) for visit in knot}
