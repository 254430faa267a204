"""Published instances are read as their authors mean them, and plans are written back.

Instances and best known values: M. M. Solomon, Operations Research 35(2), 1987, in the convention
of the DIMACS implementation challenge on vehicle routing (2021-22), as collected in
``benchmarks/vrptw`` of the reference data.
"""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from registry.cli.bench import command as bench
from registry.errors import FileError
from registry.plan.check import check
from registry.plan.problem import Call
from registry.solvers.combined import CombinedSolver
from registry.solvers.instances import plan_document, read_instance
from registry.solvers.schedule import is_plain

SMALL = """TINY

VEHICLE
NUMBER     CAPACITY
  2          10

CUSTOMER
CUST NO.  XCOORD.  YCOORD.  DEMAND  READY TIME  DUE DATE  SERVICE TIME

    0       0        0        0        0          100        0
    1       3        4        6        0           50       10
    2       1        1        6       20           60       10
"""
DAY = {
    "format": "service-day/1",
    "name": "by hand",
    "locations": [{"x": 0, "y": 0}, {"x": 1, "y": 0}],
    "travel_s": [[0, 600], [700, 0]],
    "travel_m": [[0, 9000], [9500, 0]],
    "technicians": [
        {
            "id": "T1",
            "start": 0,
            "end": 0,
            "shift": [28800, 61200],
            "skills": ["uv"],
            "lunch": {"from": 39600, "to": 48600, "duration": 1800},
            "tank_l": 1000,
        }
    ],
    "fill_points": [{"location": 0, "service_s": 720}],
    "visits": [
        {
            "id": "V1",
            "location": 1,
            "service_s": 1800,
            "windows": [],
            "skills": ["uv"],
            "water_l": 1000,
            "days_overdue": 3,
            "penalty_s": 1770,
            "required": True,
            "locked": {"technician": "T1"},
        }
    ],
}


def best_known(folder: Path) -> dict:
    return json.loads((folder / "benchmarks" / "vrptw" / "bks.json").read_text())


def published_routes(path: Path) -> list[tuple[Call, ...]]:
    """The routes of a .sol file."""
    lines = [line for line in path.read_text().splitlines() if line.startswith("Route")]
    return [tuple(Call(int(word) - 1) for word in line.split(":")[1].split()) for line in lines]


@pytest.mark.parametrize("name", ["C104", "C203", "R102", "R109", "R204", "R211", "RC105", "RC207"])
def test_the_published_solutions_cost_what_was_published(reference_data, name):
    folder = reference_data / "benchmarks" / "vrptw"
    instance = read_instance(folder / f"{name}.txt")
    routes = published_routes(folder / f"{name}.sol")
    routes += [()] * (len(instance.problem.technicians) - len(routes))
    totals = check(instance.problem, routes)
    assert totals.cost / instance.per_unit == best_known(reference_data)[name]["bks"]


@pytest.mark.parametrize("name", ["C104", "R102"])
def test_a_published_instance_is_solved_feasibly_and_never_below_the_optimum(reference_data, name):
    instance = read_instance(reference_data / "benchmarks" / "vrptw" / f"{name}.txt")
    assert is_plain(instance.problem)
    solution = CombinedSolver().solve(instance.problem, rounds=400, seed=1)
    totals = check(instance.problem, solution.routes)
    best = best_known(reference_data)[name]["bks"]
    assert best <= totals.cost / instance.per_unit <= 1.2 * best
    customers = sorted(c for route in plan_document(instance, solution)["routes"] for c in route)
    assert customers == list(range(1, 101))


def test_distances_are_cut_to_tenths(tmp_path):
    path = tmp_path / "tiny.txt"
    path.write_text(SMALL)
    problem = read_instance(path).problem
    assert problem.travel_s[0].tolist() == [0, 50, 14]  # sqrt(2) = 1.41… is cut, not rounded
    assert problem.visits[1].windows == ((200, 600),)
    assert [who.capacity for who in problem.technicians] == [10, 10]
    assert all(visit.required for visit in problem.visits)


def test_a_service_day_keeps_all_that_it_says(tmp_path):
    path = tmp_path / "day.json"
    path.write_text(json.dumps(DAY))
    problem = read_instance(path).problem
    who, visit = problem.technicians[0], problem.visits[0]
    assert (who.shift_from_s, who.shift_to_s) == (28800, 61200)
    assert who.lunch is not None
    assert who.tank_gal == pytest.approx(264.172, abs=1e-3)  # 1,000 L, 3.785412 L per US gallon
    assert visit.water_gal == who.tank_gal
    assert (visit.required, visit.held_by, visit.worth_s) == (True, 0, 1770)
    assert problem.travel_s.tolist() == DAY["travel_s"]
    assert len(problem.fills) == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "neither a service day"),
        ("hello\nthere", "neither a service day"),
        ("{", "not JSON"),
        ('{"format": "other/2"}', "expected 'service-day/1'"),
        (json.dumps(DAY | {"visits": [{"id": "V1"}]}), "'locked' is missing"),
        (json.dumps(DAY | {"travel_s": [[0]]}), "must have 2 rows and columns"),
        (SMALL.replace("    2       1", "    7       1"), "numbered 0, 1, 2"),
        (SMALL.replace("  2          10", "  two        10"), "neither a service day"),
        (SMALL.split("    0  ", maxsplit=1)[0], "neither a service day"),
    ],
)
def test_a_file_that_is_neither_is_refused_in_a_sentence(tmp_path, text, says):
    path = tmp_path / "bad.txt"
    path.write_text(text)
    with pytest.raises(FileError, match=says):
        read_instance(path)


def test_bench_solve_prints_its_keys_and_writes_the_plan(tmp_path):
    path, plan = tmp_path / "day.json", tmp_path / "plan.json"
    path.write_text(json.dumps(DAY))
    answer = CliRunner().invoke(
        bench, ["solve", str(path), "--rounds", "50", "--to", str(plan), "--json"]
    )
    assert answer.exit_code == 0, answer.output
    told = json.loads(answer.stdout)
    assert {"instance", "seconds", "engine", "feasible", "cost", "routes", "served"} <= set(told)
    assert (told["feasible"], told["cost"], told["served"]) == (True, 1300, 1)
    assert (told["bound"], told["gap"]) == (None, None)
    assert json.loads(plan.read_text()) == {
        "format": "service-plan/1",
        "routes": [{"technician": "T1", "stops": [{"visit": "V1"}]}],
    }


def test_bench_solve_writes_customers_for_a_solomon_file(tmp_path):
    path, plan = tmp_path / "tiny.txt", tmp_path / "plan.json"
    path.write_text(SMALL)
    answer = CliRunner().invoke(
        bench, ["solve", str(path), "--rounds", "50", "--to", str(plan), "--json"]
    )
    assert json.loads(answer.stdout)["cost"] == pytest.approx(12.8)  # 2 × 5.0 + 2 × 1.4
    assert sorted(json.loads(plan.read_text())["routes"]) == [[1], [2]]


@pytest.mark.parametrize("options", [[], ["--seconds", "1", "--rounds", "5"], ["--seconds", "0"]])
def test_bench_solve_asks_for_one_measure_of_effort(tmp_path, options):
    path = tmp_path / "day.json"
    path.write_text(json.dumps(DAY))
    assert CliRunner().invoke(bench, ["solve", str(path), *options]).exit_code == 2
