"""PyVRP as a solver of the port: beside it our own engine is measured, where it is installed.

Wouda, Lan and Kool, "PyVRP: A High-Performance VRP Solver Package", INFORMS Journal on Computing
36(4), 2024. It knows no breaks: lunch is approximated by taking a fixed hour out of the day, and
the routes are mended afterwards with the exact clock.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from registry.errors import PlanError
from registry.plan.ports import ProgressLine, Stop
from registry.plan.problem import DayProblem, RouteCalls, Solution
from registry.solvers.beyond import refuse_beyond_plain
from registry.solvers.budget import Budget, Clock, wall_clock
from registry.solvers.mend import mended
from registry.solvers.nothing import nothing_to_order


@dataclass(frozen=True, slots=True)
class PyVRPSolver:
    """PyVRP's iterated local search with its own settings; a round is one of its iterations."""

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
        budget = Budget(seconds, rounds, self.clock, stop)
        engine = "PyVRP"
        refuse_beyond_plain(problem, engine)
        if (empty := nothing_to_order(problem, engine)) is not None:
            return empty

        say = budget.teller(progress)

        def tell(cost: int) -> None:
            say("Found a better plan.", cost)

        found = search_with_pyvrp(problem, budget, seed, tell)
        routes = tuple(mended(problem, k, calls) for k, calls in enumerate(found))
        return Solution(routes=routes, engine=engine, rounds=budget.done, seconds=budget.elapsed)


def search_with_pyvrp(
    problem: DayProblem, budget: Budget, seed: int, tell: Callable[[int], None]
) -> tuple[RouteCalls, ...]:
    """Search until the budget is used; return routes that still have to be mended.

    ``tell`` is called with the cost of each better plan.
    """
    try:
        import pyvrp
        from pyvrp.IteratedLocalSearch import IteratedLocalSearchCallbacks
    except ImportError as missing:
        raise PlanError(
            "PyVRP is not installed; it comes with the extra: pip install 'riserway[compare]'."
        ) from missing

    from registry.solvers.pyvrp_model import Model

    model = Model(problem)

    class Watch(IteratedLocalSearchCallbacks):
        """Passes on what the search finds."""

        def on_iteration(self, current: Any, candidate: Any, best: Any, cost: Any) -> None:  # noqa: ANN401, ARG002
            """Count an iteration."""
            budget.done += 1

        def on_best(self, best: Any) -> None:  # noqa: ANN401
            """Pass on a better plan."""
            if best.is_feasible():
                tell(int(best.distance_cost() + best.uncollected_prizes()))

    params = pyvrp.SolveParams(ils=pyvrp.IteratedLocalSearchParams(callbacks=Watch()))
    result = pyvrp.solve(
        model.data,
        lambda _cost: budget.share >= 1.0,
        seed=seed,
        collect_stats=False,
        display=False,
        params=params,
    )
    routes: list[RouteCalls] = [() for _ in problem.technicians]
    for technician, calls in model.routes_of(result.best):
        routes[technician] = calls
    return tuple(routes)
