"""Fill and disposal stops that a route does not need."""

from registry.plan.problem import DayProblem, RouteCalls
from registry.plan.tanks import tanks_last


def without_needless_fills(problem: DayProblem, technician: int, calls: RouteCalls) -> RouteCalls:
    """Return a route without the fill and disposal stops that its tanks do not need."""
    at = 0
    while at < len(calls):
        fewer = (*calls[:at], *calls[at + 1 :])
        if calls[at].is_fill and tanks_last(problem, technician, fewer):
            calls = fewer
        else:
            at += 1
    return calls
