"""Our engine beside others: gaps, medians, and engines that are not there.

Best known values: M. M. Solomon, Operations Research 35(2), 1987, in the convention of the DIMACS
implementation challenge on vehicle routing (2021-22), from ``benchmarks/vrptw`` of the reference
data.
"""

import json

import pytest
from click.testing import CliRunner

from registry.cli.bench import command as bench
from registry.errors import PlanError
from registry.solvers import contest
from registry.solvers.contest import Attempt, Entry, best_known, chosen, standings, with_gaps
from tests.contract.test_solvers_instances import SMALL


def entry(engine: str, cost: float | None, instance: str = "A") -> Entry:
    attempt = Attempt(cost=cost, seconds=2.0, peak_mb=100.0)
    return Entry(instance=instance, engine=engine, seconds=2.0, attempt=attempt)


def test_gaps_are_to_the_best_known_cost_else_to_the_best_found():
    some = [entry("one", 110.0), entry("two", 100.0), entry("three", None)]
    assert [one.gap for one in with_gaps(some, None)] == [10.0, 0.0, None]
    assert [one.gap for one in with_gaps(some, 80.0)] == [37.5, 25.0, None]


def test_standings_are_the_median_and_the_worst_of_the_instances():
    costs = {"A": (100.0, 101.0), "B": (100.0, 104.0), "C": (102.0, 100.0)}
    entries = [
        gapped
        for instance, (ours, theirs) in costs.items()
        for gapped in with_gaps(
            [entry("ours", ours, instance), entry("theirs", theirs, instance)], 100
        )
    ]
    ours, theirs = standings(entries)
    assert (ours.median, ours.worst) == (0.0, 2.0)
    assert (theirs.median, theirs.worst) == (1.0, 4.0)
    (nothing,) = standings([entry("ours", None)])
    assert (nothing.median, nothing.worst) == (None, None)


def test_best_known_costs_are_read_beside_an_instance(tmp_path, reference_data):
    folder = reference_data / "benchmarks" / "vrptw"
    assert best_known(folder / "R211.txt") == 746.7
    (tmp_path / "R211.sol").write_text((folder / "R211.sol").read_text())
    assert best_known(tmp_path / "R211.txt") == 746.7
    assert best_known(tmp_path / "R101.txt") is None


def test_an_engine_that_is_not_installed_is_left_out_with_a_word(monkeypatch):
    monkeypatch.setattr(contest, "find_spec", lambda _name: None)
    entrants, words = chosen([])
    assert "pyvrp" not in {one.name for one in entrants}
    assert words == [contest.PYVRP_MISSING]
    assert chosen(["riserway"])[1] == []


def test_an_engine_that_there_is_not_is_refused():
    with pytest.raises(PlanError, match="no engine named swift; there are guided, iterated"):
        chosen(["riserway", "swift"])


def test_bench_compare_runs_engines_one_after_the_other_and_judges_them(tmp_path):
    path = tmp_path / "tiny.txt"
    path.write_text(SMALL)
    words = ["compare", str(path), "--seconds", "0.1", "--only", "riserway,iterated", "--json"]
    done = CliRunner().invoke(bench, words)
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert [one["engine"] for one in told["runs"]] == ["riserway", "iterated"]
    assert {one["cost"] for one in told["runs"]} == {12.8}  # 2 × 5.0 + 2 × 1.4
    assert [one["worst"] for one in told["summary"]] == [0.0, 0.0]


@pytest.mark.parametrize("seconds", ["", "two", "0", "1,-2"])
def test_bench_compare_refuses_seconds_that_are_none(tmp_path, seconds):
    path = tmp_path / "tiny.txt"
    path.write_text(SMALL)
    done = CliRunner().invoke(bench, ["compare", str(path), "--seconds", seconds])
    assert done.exit_code == 2
    assert "2,10,30" in done.output
