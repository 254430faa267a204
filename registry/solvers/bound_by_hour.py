"""How far a plan is from the best possible where roads are closed for hours."""

from dataclasses import dataclass, replace

from registry.plan.bound import Bound, BoundFinder
from registry.plan.check import totals_of
from registry.plan.ports import ProgressLine
from registry.plan.problem import DayProblem, Solution
from registry.plan.road_hours import as_if_open


@dataclass(frozen=True, slots=True)
class HoursBound:
    """What proves how far a plan is from the best, around a part that knows no hours.

    It looks at the day as if each drive were made at its best hour: no plan costs less by the hours
    than there, so what is proven holds. A cheaper plan of that day need not hold and is not told.
    """

    inner: BoundFinder

    def bound(
        self,
        problem: DayProblem,
        solution: Solution,
        *,
        seconds: float,
        progress: ProgressLine | None = None,
    ) -> Bound:
        """Return a bound of what any plan of a day costs; see ``BoundFinder``."""
        if problem.hours is None:
            return self.inner.bound(problem, solution, seconds=seconds, progress=progress)
        found = self.inner.bound(as_if_open(problem), solution, seconds=seconds, progress=progress)
        cost = totals_of(problem, solution.routes, solution.appointed).cost
        if found.value is None:
            return replace(found, cost=cost, routes=None)
        value = min(found.value, cost)
        tenths = -(-1000 * (cost - value) // value) if value else 0
        text = f"The plan is at most {tenths // 10}.{tenths % 10} % above the best possible."
        if value >= cost:
            text = "The plan is proven the best possible."
        rough = found.rough if value < cost else ""
        return Bound(value=value, cost=cost, proven=value >= cost, text=text, rough=rough)
