"""Routes of a solver that only approximates the day, mended until they hold.

PyVRP knows no breaks and OR-Tools' routing library takes lunch in its own way; what they answer is
cut back here, the cheapest visits first, never trusted.
"""

from registry.plan.problem import Call, DayProblem, RouteCalls
from registry.plan.shortfall import short_s, tanks_last


def mended(problem: DayProblem, technician: int, calls: RouteCalls) -> RouteCalls:
    """Return a route without what its technician may not make, and without what does not fit."""
    kept = tuple(call for call in calls if call.is_fill or problem.may_make(technician, call.which))
    kept = without_needless_fills(problem, technician, kept)
    while kept and short_s(problem, technician, kept) > 0:
        shorter = [
            without_needless_fills(problem, technician, (*kept[:at], *kept[at + 1 :]))
            for at in range(len(kept))
        ]
        losses = [_loss(problem, kept[at]) for at in range(len(kept))]
        best = min(
            range(len(kept)),
            key=lambda at: (short_s(problem, technician, shorter[at]) > 0, losses[at]),
        )
        kept = shorter[best]
    return kept if any(not call.is_fill for call in kept) else ()


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


def _loss(problem: DayProblem, call: Call) -> float:
    """Return what leaving a call out costs; fills are kept to the last."""
    if call.is_fill:
        return float("inf")
    visit = problem.visits[call.which]
    return visit.worth_s + (1e9 if visit.required else 0.0)
