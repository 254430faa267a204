"""The plan of a day on which there is nothing to order."""

from registry.plan.problem import DayProblem, Solution


def nothing_to_order(problem: DayProblem, engine: str) -> Solution | None:
    """Return the empty plan of a day without visits or without technicians, else None."""
    if problem.visits and problem.technicians:
        return None
    return Solution(routes=((),) * len(problem.technicians), engine=engine)
