"""Every adapter of the solver port passes the same tests, judged by the independent check."""

from dataclasses import replace

import pytest

from registry.errors import PlanError
from registry.plan.breach import BreachKind
from registry.plan.check import breaches, check
from registry.plan.cost import cost_of
from registry.plan.ports import Progress, RouteSolver
from registry.plan.problem import Link
from registry.solvers.beyond import beyond_plain
from registry.solvers.combined import CombinedSolver
from registry.solvers.linked import LinkedSolver
from registry.solvers.ruin_recreate import RuinRecreateSolver
from registry.solvers.with_ortools import Method, OrToolsSolver
from registry.solvers.with_pyvrp import PyVRPSolver
from tests.days import (
    NamedDay,
    best_cost,
    linked_days,
    named_days,
    on_a_line,
    random_day,
    random_full_day,
    visit,
)

EFFORT: dict[str, tuple[RouteSolver, dict[str, float]]] = {
    "combined": (CombinedSolver(), {"rounds": 1500}),
    "ruin and recreate": (RuinRecreateSolver(), {"rounds": 1500}),
    "PyVRP": (PyVRPSolver(), {"rounds": 150}),
    "OR-Tools guided": (OrToolsSolver(method=Method.GUIDED), {"rounds": 40}),
    "OR-Tools iterated": (OrToolsSolver(method=Method.ITERATED), {"seconds": 0.05}),
}
EXACT = ("combined", "ruin and recreate")
"""Adapters that take the whole day as it is; the others refuse what they cannot express."""


@pytest.fixture(params=EFFORT)
def solver(request: pytest.FixtureRequest) -> tuple[str, RouteSolver, dict[str, float]]:
    return request.param, *EFFORT[request.param]


@pytest.mark.parametrize("day", named_days(), ids=lambda day: day.name)
def test_a_feature_is_respected_and_the_best_plan_is_found(solver, day: NamedDay):
    name, engine, effort = solver
    if name not in EXACT and beyond_plain(day.problem):
        with pytest.raises(PlanError, match="cannot express"):
            engine.solve(day.problem, **effort)
        return
    solution = engine.solve(day.problem, **effort, seed=1)
    check(day.problem, solution.routes)
    best = best_cost(day.problem)
    cost = cost_of(day.problem, solution.routes)
    assert cost >= best
    lunch = any(who.lunch for who in day.problem.technicians)
    # The others approximate lunch and mend, and PyVRP seldom tries a reload on two clients.
    if name == "OR-Tools iterated":
        return  # bounded by the clock, so nothing is promised
    if name in EXACT or not (lunch or (name == "PyVRP" and day.problem.fills)):
        assert cost == best


@pytest.mark.parametrize("day", named_days(), ids=lambda day: day.name)
def test_a_plan_blind_to_the_feature_is_refused_or_dearer(day: NamedDay):
    kinds = {one.kind for one in breaches(day.problem, day.blind)}
    if day.breach is not None:
        assert day.breach in kinds
    elif day.name not in ("plain", "no lunch if back in time"):
        assert not kinds
        assert cost_of(day.problem, day.blind) > best_cost(day.problem)


@pytest.mark.parametrize("seed", range(6))
def test_random_days_are_feasible_on_every_adapter(solver, seed):
    name, engine, effort = solver
    problem = random_day(seed)
    solution = engine.solve(problem, **effort, seed=seed)
    check(problem, solution.routes)
    if name in EXACT:
        assert cost_of(problem, solution.routes) == best_cost(problem)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("name", EXACT)
def test_days_with_every_price_are_solved_to_the_best_plan(name, seed):
    """Against full enumeration of all routes."""
    engine, effort = EFFORT[name]
    problem = random_full_day(seed)
    solution = engine.solve(problem, **effort, seed=seed)
    totals = check(problem, solution.routes)
    assert totals.cost == cost_of(problem, solution.routes) == best_cost(problem)


@pytest.mark.parametrize("day", linked_days(), ids=lambda day: day.name)
def test_linked_visits_agree_at_the_least_cost(day):
    """The best costs are worked by hand."""
    solution = LinkedSolver(RuinRecreateSolver()).solve(day.problem, rounds=900)
    totals = check(day.problem, solution.routes, appointed=solution.appointed)
    assert totals.cost == day.best
    kinds = {one.kind for one in breaches(day.problem, day.blind)}
    assert kinds & {BreachKind.LINK, BreachKind.REQUIRED}


def test_visits_that_wait_for_each_other_in_a_circle_are_refused():
    day = on_a_line([0, 5, 10], [visit("A", 1), visit("B", 2)])
    day = replace(day, links=(Link(first=0, then=1), Link(first=1, then=0)))
    with pytest.raises(PlanError, match="in a circle: Site A, Site B"):
        LinkedSolver(RuinRecreateSolver()).solve(day, rounds=10)


def test_a_day_with_nothing_to_do_gives_empty_routes(solver):
    _, engine, effort = solver
    assert engine.solve(on_a_line([0], []), **effort).routes == ((),)
    nobody = on_a_line([0, 5], [visit("A", 1)], [])
    assert engine.solve(nobody, **effort).routes == ()


def test_neither_or_both_of_seconds_and_rounds_are_refused(solver):
    _, engine, _ = solver
    problem = random_day(1)
    with pytest.raises(PlanError, match="one of the two"):
        engine.solve(problem)
    with pytest.raises(PlanError, match="one of the two"):
        engine.solve(problem, seconds=1.0, rounds=10)
    with pytest.raises(PlanError, match="above zero"):
        engine.solve(problem, rounds=0)


def test_the_search_ends_when_its_seconds_are_over(solver):
    _, engine, _ = solver
    ticks = iter(range(10**6))
    clocked = type(engine)(clock=lambda: next(ticks) * 0.01)
    said: list[Progress] = []
    solution = clocked.solve(random_day(2), seconds=0.2, progress=said.append)
    check(random_day(2), solution.routes)
    assert next(ticks) < 1000
    assert said
    assert solution.engine
