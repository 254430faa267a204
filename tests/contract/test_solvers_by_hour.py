"""Solvers on roads that are closed for hours, against every plan of small days.

The reference is full enumeration: every set and order of visits of every technician, each driven by
the exact clock and judged by the independent check.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from registry.plan.check import check
from registry.plan.cost import cost_of
from registry.plan.one_clock import OneDay
from registry.plan.problem import Link
from registry.plan.road_hours import at_any_hour
from registry.plan.several_days import solution_of_day, together
from registry.records.places import LonLat
from registry.solvers.bound.lower import LowerBound
from registry.solvers.bound_by_hour import HoursBound
from registry.solvers.budget import processor_clock
from registry.solvers.by_hour import HoursRepairer, HoursSolver
from registry.solvers.combined import CombinedSolver
from registry.solvers.linked import LinkedSolver
from registry.solvers.repair import Repairer
from tests.days import HOUR, MIN, best_cost, on_a_line, random_day, route, technician, visit
from tests.hours import random_day_by_hour, with_crossings

PLAIN = LinkedSolver(CombinedSolver())
SOLVER = HoursSolver(PLAIN)
REPAIRER = HoursRepairer(Repairer())
SEEDS = range(30)
LEAST_BEST = 0.9
"""Share of the small days on which the best plan must be found, each in 400 rounds."""
AFTERNOON = [(12 * HOUR, 24 * HOUR)]


def day_of(seed):
    return random_day_by_hour(seed, full=seed % 2 == 0)


@pytest.fixture(scope="module")
def solved():
    return {seed: SOLVER.solve(day_of(seed), rounds=400, seed=1) for seed in SEEDS}


@pytest.fixture(scope="module")
def best():
    return {seed: best_cost(day_of(seed)) for seed in SEEDS}


def test_no_plan_is_better_than_the_best_and_most_are_as_good(solved, best):
    costs = {
        seed: check(day_of(seed), one.routes, appointed=one.appointed).cost
        for seed, one in solved.items()
    }
    assert all(costs[seed] >= best[seed] for seed in SEEDS)
    assert sum(costs[seed] == best[seed] for seed in SEEDS) >= LEAST_BEST * len(SEEDS)


def test_a_bound_by_the_best_hours_is_never_above_the_best_plan(solved, best):
    finder = HoursBound(LowerBound(processor_clock))
    for seed in list(SEEDS)[:12]:
        found = finder.bound(day_of(seed), solved[seed], seconds=2.0)
        assert found.routes is None
        assert found.cost == cost_of(day_of(seed), solved[seed].routes)
        assert found.value is None or found.value <= best[seed]
        assert not found.proven or found.cost == best[seed]


def test_a_day_without_such_hours_is_planned_as_it_always_was():
    day = random_day(3)
    one, other = (solver.solve(day, rounds=200, seed=2) for solver in (SOLVER, PLAIN))
    assert (one.routes, one.engine, one.rounds) == (other.routes, other.engine, other.rounds)


@pytest.mark.parametrize("seed", range(6))
def test_a_plan_that_stood_before_a_road_closed_is_mended_and_never_dearer(seed):
    day = day_of(seed)
    stood = PLAIN.solve(at_any_hour(day), rounds=50, seed=1)
    found = REPAIRER.repair(day, stood.routes, rounds=50, seed=1)
    told = check(day, found.routes, appointed=found.appointed, required_may_wait=True)
    assert told.cost <= cost_of(day, stood.routes)


def test_who_is_beyond_a_road_when_it_is_told_to_close_comes_out_in_time():
    # Who starts at B, beyond the road, has 90 minutes until it closes for the day.
    visits = [visit("A", 1), visit("B", 2), visit("C", 3)]
    there = technician(start_place=2, shift_from_s=10 * HOUR + 30 * MIN)
    day = with_crossings(on_a_line([0, 10, 30, 32], visits, [there]), ([2, 3], AFTERNOON, None))
    found = REPAIRER.repair(day, (route(0, 1, 2),), rounds=50, seed=1)
    check(day, found.routes)
    # B and C take an hour with the drives beyond, C to A 22 minutes.
    assert [call.which for call in found.routes[0]] in ([1, 2, 0], [2, 1, 0])


def test_two_technicians_meet_beyond_a_road_while_it_is_open():
    together_there = [visit("A", 1), visit("A2", 1), visit("B", 2, service_s=4 * HOUR)]
    pair = [technician(1), technician(2)]
    day = with_crossings(on_a_line([0, 30, 10], together_there, pair), ([1], AFTERNOON, None))
    day = replace(day, links=(Link(first=0, then=1, together=True),))
    found = SOLVER.solve(day, rounds=200, seed=1)
    told = check(day, found.routes, appointed=found.appointed)
    assert told.served == 3


def test_on_several_days_a_road_is_closed_on_its_own_day_only():
    monday = date(2026, 6, 15)
    plain = on_a_line([0, 30], [visit("A", 1, service_s=5 * HOUR)])
    closed = with_crossings(plain, ([1], [(0, 9 * HOUR), (12 * HOUR, 24 * HOUR)], None))
    places = [LonLat(-140.0, 45.0), LonLat(-140.1, 45.0)]
    days = [
        OneDay(monday + timedelta(days=ahead), problem, places, {})
        for ahead, problem in enumerate((closed, plain))
    ]
    several = together(days)
    found = SOLVER.solve(several.problem, rounds=100, seed=1)
    check(several.problem, found.routes)
    assert [len(calls) for calls in found.routes] == [0, 1]
    for number in range(2):
        alone, own = solution_of_day(several, found, number)
        check(alone, own.routes)
