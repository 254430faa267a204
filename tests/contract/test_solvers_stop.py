"""A search that is stopped ends at once and gives the best plan it has."""

import os
import signal
from itertools import count

import pytest

from registry.cli.stopping import stopping
from registry.plan.check import check
from registry.plan.cost import cost_of
from registry.plan.ports import Progress, RouteSolver
from registry.solvers.combined import CombinedSolver
from registry.solvers.linked import LinkedSolver
from registry.solvers.ruin_recreate import RuinRecreateSolver
from registry.solvers.with_ortools import Method, OrToolsSolver
from registry.solvers.with_pyvrp import PyVRPSolver
from tests.days import random_day

ENGINES: dict[str, RouteSolver] = {
    "combined": CombinedSolver(),
    "linked": LinkedSolver(CombinedSolver()),
    "ruin and recreate": RuinRecreateSolver(),
    "PyVRP": PyVRPSolver(),
    "OR-Tools guided": OrToolsSolver(method=Method.GUIDED),
}


@pytest.mark.parametrize("name", ENGINES)
@pytest.mark.parametrize("asked", [1, 20])
def test_a_stopped_search_ends_with_the_best_plan_so_far(name, asked):
    problem = random_day(3)
    asks = count()
    told: list[Progress] = []
    solution = ENGINES[name].solve(
        problem,
        rounds=10**9,
        progress=told.append,
        stop=lambda: next(asks) >= asked,
    )
    check(problem, solution.routes)
    costs = [one.cost for one in told if one.cost is not None]
    if costs and name != "PyVRP":  # which tells costs before its routes are mended
        assert cost_of(problem, solution.routes) == min(costs)


def test_a_search_told_to_stop_before_it_begins_still_gives_a_plan():
    problem = random_day(4)
    solution = CombinedSolver().solve(problem, seconds=1000.0, stop=lambda: True)
    check(problem, solution.routes)
    assert any(solution.routes)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_the_first_signal_stops_the_search_and_the_next_one_the_program(capsys, number):
    both = (signal.SIGINT, signal.SIGTERM)  # a shell may have let the first be ignored
    before = {one: signal.signal(one, signal.default_int_handler) for one in both}
    try:
        with stopping() as stop:
            assert not stop()
            os.kill(os.getpid(), number)
            assert stop()
            assert "kept" in capsys.readouterr().err
            with pytest.raises(KeyboardInterrupt):
                os.kill(os.getpid(), number)
    finally:
        for one, handler in before.items():
            signal.signal(one, handler)


def test_signals_mean_what_they_did_once_the_search_is_over():
    before = signal.getsignal(signal.SIGINT)
    with stopping():
        assert signal.getsignal(signal.SIGINT) is not before
    assert signal.getsignal(signal.SIGINT) is before
