"""The best plan of a small day by full enumeration."""

from itertools import combinations, permutations

from registry.plan.check import BreachKind, breaches
from registry.plan.cost import route_cost
from registry.plan.problem import (
    Call,
    DayProblem,
    RouteCalls,
)
from tests.days.build import route


def best_cost(problem: DayProblem) -> int:
    """The cost of the best plan, by trying every one (at most one stop at each fill per route)."""
    visits = range(len(problem.visits))
    required = [i for i in visits if problem.visits[i].required]
    worth = [problem.visits[i].worth_s for i in visits]
    cheapest: dict[int, int] = {0: 0}
    for k in range(len(problem.technicians)):
        routes = _routes_of(problem, k)
        merged = dict(cheapest)
        for made, cost in cheapest.items():
            for mask, drive_s in routes.items():
                if not made & mask and cost + drive_s < merged.get(made | mask, 2**60):
                    merged[made | mask] = cost + drive_s
        cheapest = merged
    return min(
        cost + sum(worth[i] for i in visits if not mask >> i & 1)
        for mask, cost in cheapest.items()
        if all(mask >> i & 1 for i in required)
    )


def _routes_of(problem: DayProblem, k: int) -> dict[int, int]:
    """The least cost of one technician's route for each set of visits that they can make."""
    able = [i for i in range(len(problem.visits)) if problem.may_make(k, i)]
    found: dict[int, int] = {}
    for size in range(1, len(able) + 1):
        for chosen in combinations(able, size):
            costs = [
                route_cost(problem, k, calls)
                for order in permutations(chosen)
                for calls in _with_fills(problem, route(*order))
                if _holds(problem, k, calls)
            ]
            if costs:
                found[sum(1 << i for i in chosen)] = min(costs)
    return found


def _with_fills(problem: DayProblem, calls: RouteCalls) -> list[RouteCalls]:
    """The calls as they are, and with one stop at each fill put in anywhere."""
    made = [calls]
    for fill in range(len(problem.fills)):
        made += [
            (*known[:at], Call(fill, is_fill=True), *known[at:])
            for known in made
            for at in range(len(known) + 1)
        ]
    return made


def _holds(problem: DayProblem, k: int, calls: RouteCalls) -> bool:
    """Whether one route keeps every limit."""
    routes = [calls if number == k else () for number in range(len(problem.technicians))]
    return not [one for one in breaches(problem, routes) if one.kind is not BreachKind.REQUIRED]
