"""The bound never passes the best plan known of published instances.

Service days: ``benchmarks/service_day.py`` of the reference data; the optimum of 60 visits, seed 2,
is 38,448. Solomon's instances: ``benchmarks/vrptw/bks.json`` with the best values known.
"""

import importlib.util
import json
from pathlib import Path

import pytest

from registry.plan.check import totals_of
from registry.solvers.bound.lower import LowerBound
from registry.solvers.budget import wall_clock
from registry.solvers.instances import Instance, read_instance
from registry.solvers.ruin_recreate import RuinRecreateSolver

BEST_OF_60_VISITS_SEED_2 = 38_448


def bound_of(instance: Instance, seconds: float):
    solution = RuinRecreateSolver().solve(instance.problem, rounds=3000, seed=1)
    return LowerBound(wall_clock).bound(instance.problem, solution, seconds=seconds)


def service_day(reference_data: Path, folder: Path, visits: int, seed: int, **asked) -> Instance:
    path = reference_data / "benchmarks" / "service_day.py"
    spec = importlib.util.spec_from_file_location("service_day", path)
    assert spec is not None
    assert spec.loader is not None
    judge = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(judge)
    file = folder / "day.json"
    file.write_text(json.dumps(judge.generate(visits, seed, **asked)), encoding="utf-8")
    return read_instance(file)


@pytest.mark.parametrize("seconds", [0.5, 3.0, 8.0])
def test_the_bound_of_sixty_visits_stays_below_the_known_optimum(reference_data, tmp_path, seconds):
    found = bound_of(service_day(reference_data, tmp_path, 60, 2), seconds)
    assert (found.value or 0) <= BEST_OF_60_VISITS_SEED_2 <= found.cost


@pytest.mark.parametrize("asked", [{}, {"water": True}, {"locked": True}, {"lunch": False}])
def test_the_bound_of_twenty_visits_stays_below_every_plan(reference_data, tmp_path, asked):
    for seed in (1, 2, 3):
        instance = service_day(reference_data, tmp_path, 20, seed, **asked)
        found = bound_of(instance, 5.0)
        known = RuinRecreateSolver().solve(instance.problem, rounds=20_000, seed=2)
        assert found.value is not None
        assert found.value <= totals_of(instance.problem, known.routes).cost


@pytest.mark.parametrize("name", ["C104", "C203", "R102", "R109", "R204", "R211", "RC105", "RC207"])
def test_the_bound_of_solomon_s_instances_stays_below_the_best_value_known(reference_data, name):
    folder = reference_data / "benchmarks" / "vrptw"
    best = json.loads((folder / "bks.json").read_text())[name]["bks"]
    instance = read_instance(folder / f"{name}.txt")
    found = bound_of(instance, 3.0)
    assert (found.value or 0) / instance.per_unit <= best + 1e-9
