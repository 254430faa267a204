"""Generated service days, judged by the checker that comes with their generator.

``benchmarks/service_day.py`` of the reference data makes the days and judges plans; it shares no
code with this project.
"""

import json
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from registry.plan.check import breaches, totals_of
from registry.plan.problem import Call, Solution
from registry.solvers.combined import CombinedSolver
from registry.solvers.instances import Instance, plan_document, read_instance
from registry.solvers.ruin_recreate import RuinRecreateSolver
from tests.judge import service_day


@pytest.fixture(scope="module")
def judge(reference_data: Path) -> ModuleType:
    """The generator and checker of service days."""
    return service_day(reference_data)


def instance_of(day: dict, folder: Path) -> Instance:
    path = folder / "day.json"
    path.write_text(json.dumps(day), encoding="utf-8")
    return read_instance(path)


KINDS = {
    "plain": {},
    "water": {"water": True},
    "locked": {"locked": True},
    "no lunch": {"lunch": False},
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(1, 6))
def test_sixty_visits_are_ordered_feasibly(judge, tmp_path, kind, seed):
    day = judge.generate(60, seed, **KINDS[kind])
    instance = instance_of(day, tmp_path)
    solution = CombinedSolver().solve(instance.problem, rounds=1500, seed=seed)
    answer = judge.evaluate(day, plan_document(instance, solution))
    assert answer["problems"] == []
    totals = totals_of(instance.problem, solution.routes)
    assert answer["cost"] == totals.cost
    assert answer["driving_s"] == totals.drive_s
    assert answer["served"] == totals.served
    assert totals.served >= 30


def test_the_project_s_check_and_the_judge_agree_on_good_and_broken_plans(judge, tmp_path):
    chance = np.random.default_rng(5)
    agreed = {True: 0, False: 0}
    for seed in range(1, 5):
        day = judge.generate(30, seed, water=seed % 2 == 0, locked=True)
        instance = instance_of(day, tmp_path)
        problem = instance.problem
        good = RuinRecreateSolver().solve(problem, rounds=300, seed=seed).routes
        for _ in range(60):
            routes = [list(calls) for calls in good]
            for _ in range(int(chance.integers(0, 3))):
                shuffle_a_little(routes, len(problem.visits), len(problem.fills), chance)
            plan = Solution(routes=tuple(tuple(calls) for calls in routes), engine="chance")
            answer = judge.evaluate(day, plan_document(instance, plan))
            found = breaches(problem, plan.routes)
            assert answer["feasible"] is not bool(found), (answer["problems"], found)
            assert answer["cost"] == totals_of(problem, plan.routes).cost
            agreed[answer["feasible"]] += 1
    assert min(agreed.values()) >= 40


def shuffle_a_little(routes: list[list[Call]], visits: int, fills: int, chance) -> None:
    """Move, drop, add or swap a stop."""
    route = routes[int(chance.integers(len(routes)))]
    way = chance.random()
    if way < 0.3 and route:
        other = routes[int(chance.integers(len(routes)))]
        call = route.pop(int(chance.integers(len(route))))
        other.insert(int(chance.integers(len(other) + 1)), call)
    elif way < 0.5 and route:
        route.pop(int(chance.integers(len(route))))
    elif way < 0.7:
        made = {call.which for calls in routes for call in calls if not call.is_fill}
        waiting = [i for i in range(visits) if i not in made]
        if waiting:
            call = Call(int(chance.choice(waiting)))
            route.insert(int(chance.integers(len(route) + 1)), call)
    elif way < 0.8 and fills:
        fill = Call(int(chance.integers(fills)), is_fill=True)
        route.insert(int(chance.integers(len(route) + 1)), fill)
    elif len(route) > 1:
        a, b = chance.integers(len(route), size=2)
        route[a], route[b] = route[b], route[a]


@pytest.mark.parametrize("solver", [CombinedSolver(), RuinRecreateSolver()], ids=["both", "one"])
def test_the_same_seed_and_rounds_give_the_same_plan(judge, tmp_path, solver):
    """Long enough that the integer program and a second stretch take part."""
    instance = instance_of(judge.generate(25, 3, water=True), tmp_path)
    rounds = 60_000 if isinstance(solver, CombinedSolver) else 2000
    first, second = (
        solver.solve(instance.problem, rounds=rounds, seed=11).routes for _ in range(2)
    )
    assert first == second


def test_the_proven_optimum_of_a_day_is_not_undercut(judge, tmp_path):
    """60 visits, seed 2: 38,448 was proven by an integer program over all 31,702 routes that could
    be part of a better plan, when the generator was made."""
    day = judge.generate(60, 2)
    instance = instance_of(day, tmp_path)
    solution = CombinedSolver().solve(instance.problem, rounds=20_000, seed=1)
    cost = judge.evaluate(day, plan_document(instance, solution))["cost"]
    assert 38_448 <= cost <= 1.08 * 38_448
