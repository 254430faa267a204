"""Routes of a solver that only approximates the day, mended until they hold.

PyVRP knows no breaks and OR-Tools' routing library takes lunch in its own way; what they answer is
cut back here, the cheapest visits first, never trusted.
"""

from registry.plan.fills import without_needless_fills
from registry.plan.problem import Call, DayProblem, RouteCalls
from registry.plan.shortfall import short_s


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


def _loss(problem: DayProblem, call: Call) -> float:
    """Return what leaving a call out costs; fills are kept to the last."""
    if call.is_fill:
        return float("inf")
    visit = problem.visits[call.which]
    return visit.worth_s + (1e9 if visit.required else 0.0)
