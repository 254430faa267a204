"""How far a day's plan is from the best possible, told with the plan."""

from dataclasses import replace

from registry.plan.bound import Bound, BoundFinder
from registry.plan.ports import ProgressLine
from registry.plan.problem import Solution
from registry.records.day import Day
from registry.services.pose_day import Posed


def prove(
    posed: Posed,
    solution: Solution,
    bounds: BoundFinder,
    seconds: float,
    progress: ProgressLine | None = None,
) -> tuple[Solution, Bound]:
    """Return the cheaper plan if the search for a bound met one, and what is proven about it."""
    found = bounds.bound(posed.problem, solution, seconds=seconds, progress=progress)
    if found.routes is not None:
        solution = replace(solution, routes=found.routes, appointed=())
    return solution, found


def with_bound(day: Day, found: Bound) -> Day:
    """Return a day with what is proven about it, and in words if that is little or nothing."""
    said = found.rough if found.value is not None else found.text
    notes = (*day.notes, said) if said else day.notes
    return replace(day, bound=found.value, gap=found.gap, notes=notes)
