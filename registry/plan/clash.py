"""Holds that cannot all be kept: the smallest set of them that clash, in words.

A held visit that is on no route is looked at together with the other held visits that its
technicians make: first alone, then with each other one, then with each two; beyond that held visits
are taken out one by one while the rest still clashes (a deletion filter, after Chinneck and
Dravnieks, "Locating Minimal Infeasible Constraint Sets in Linear Programs", ORSA Journal on
Computing 3(2), 1991). Whether some visits can be made together is worked out exactly.
"""

from collections.abc import Sequence
from itertools import combinations

from registry.plan.fits_together import MOST_VISITS, fit_together
from registry.plan.problem import DAY_S, DayProblem, RouteCalls
from registry.plan.say import clock

MOST_TRIED = 3
"""Sets up to this size are all tried, pairs only where there are more than ``MOST_VISITS``."""
MOST_WAYS = 10_000
"""Ways to share visits among technicians beyond which it is not told whether they clash."""


def clash_of(
    problem: DayProblem, routes: Sequence[RouteCalls], visit: int
) -> tuple[int, ...] | None:
    """Return the smallest set of held visits, with a given one, that cannot all be made.

    None if they can be, as far as hours and roads go, or there are too many to tell.
    """
    able = [k for k in range(len(problem.technicians)) if problem.may_make(k, visit)]
    others = tuple(
        call.which
        for k in able
        for call in routes[k]
        if not call.is_fill and problem.visits[call.which].required
    )
    few = len(others) < MOST_VISITS
    for size in range(MOST_TRIED if few else MOST_TRIED - 1):
        for some in combinations(others, size):
            if not can_all_be_made(problem, (visit, *some)):
                return (visit, *some)
    if not few or len(able) ** len(others) > MOST_WAYS:
        return None
    if can_all_be_made(problem, (visit, *others)):
        return None
    kept = others
    for one in others:
        fewer = tuple(other for other in kept if other != one)
        if not can_all_be_made(problem, (visit, *fewer)):
            kept = fewer
    return (visit, *kept)


def can_all_be_made(problem: DayProblem, visits: Sequence[int]) -> bool:
    """Tell whether some visits can all be made by the technicians of a day, exactly.

    Tanks, driving limits and links are left out.
    """
    crew = range(len(problem.technicians))

    def placed(left: Sequence[int], given: tuple[tuple[int, ...], ...]) -> bool:
        if not left:
            return True
        for k in crew:
            more = (*given[k], left[0])
            if fit_together(problem, k, more) and placed(
                left[1:], (*given[:k], more, *given[k + 1 :])
            ):
                return True
        return False

    return placed(visits, tuple(() for _ in crew))


def clash_words(problem: DayProblem, clash: Sequence[int]) -> str:
    """Return a clash as a sentence."""
    holds = [_hold_words(problem, visit) for visit in clash]
    if len(clash) == 1:
        return f"This hold cannot be kept: {holds[0]}. Let it go, or hold it otherwise."
    every = "both" if len(clash) == 2 else "all"
    return f"These holds cannot {every} be kept: {'; and '.join(holds)}. Let one of them go."


def clashes(problem: DayProblem, routes: Sequence[RouteCalls]) -> dict[int, tuple[int, ...]]:
    """Return for each held visit on no route the holds that it clashes with, where known."""
    made = {call.which for calls in routes for call in calls if not call.is_fill}
    found = {
        visit: clash_of(problem, routes, visit)
        for visit, one in enumerate(problem.visits)
        if one.required and visit not in made
    }
    return {visit: clash for visit, clash in found.items() if clash is not None}


def _hold_words(problem: DayProblem, visit: int) -> str:
    what = problem.visits[visit]
    said = what.name
    if what.held_by is not None:
        said += f", held to {problem.technicians[what.held_by].name}"
    if what.windows[-1][1] - what.windows[0][0] < DAY_S:
        spans = (f"{clock(opens)}–{clock(closes)}" for opens, closes in what.windows)
        said += f", to start {' or '.join(spans)}"
    return said
