"""The parts of our own search, each against something simpler."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from registry.plan.check import BreachKind, breaches
from registry.plan.cost import cost_of
from registry.plan.driving import drive_of
from registry.plan.problem import UNREACHABLE_S, Call
from registry.solvers.mend import mended
from registry.solvers.pool import Effort, best_mix, columns_of, prices_of
from registry.solvers.search.annealing import cost_if_it_holds
from registry.solvers.search.chance import chance_from, drawn
from registry.solvers.search.flat import flat_day
from registry.solvers.search.insertion import NO_PLACE, best_gap
from registry.solvers.search.routes import empty_routes
from registry.solvers.search.run import Run, nodes_of
from registry.solvers.search.seen import keep_only
from tests.days import on_a_line, random_day, route, technician, visit


@pytest.mark.parametrize("seed", range(20))
def test_the_search_and_the_check_agree_on_what_holds(seed):
    problem = random_day(seed)
    chance = np.random.default_rng(seed)
    day = flat_day(problem)
    for _ in range(20):
        order = chance.permutation(len(problem.visits))
        cut, end = sorted(chance.integers(0, len(order) + 1, 2))
        routes = [[Call(int(i)) for i in part] for part in (order[:cut], order[cut:end])]
        if chance.random() < 0.5:
            part = routes[int(chance.integers(2))]
            part.insert(int(chance.integers(len(part) + 1)), Call(0, is_fill=True))
        plan = tuple(tuple(part) for part in routes)
        trial = empty_routes(day, 12)
        for k, calls in enumerate(plan):
            nodes = nodes_of(problem, calls)
            trial.stops["node"][k, : len(nodes)] = nodes
            trial.tours["count"][k] = len(nodes)
            trial.where[nodes[nodes < len(problem.visits)]] = k
        cost = cost_if_it_holds(day, trial)
        found = hard_breaches(problem, plan)
        assert (cost < 0) is bool(found)
        if not found:
            assert cost == cost_of(problem, plan)


@pytest.mark.parametrize("seed", range(20))
def test_the_cheapest_gap_is_the_cheapest_of_all_plans_with_the_visit(seed):
    problem = random_day(seed, visits=6, crew=1)
    order = [int(i) for i in np.random.default_rng(seed).permutation(6)]
    one, made = order[0], ()
    for other in order[1:]:
        if not hard_breaches(problem, ((*made, Call(other)),)):
            made = (*made, Call(other))
    day, chance = flat_day(problem), chance_from(1)
    run = Run(problem, 1, 10)
    run.stand_at([nodes_of(problem, made)])
    tour = run.routes.tours[0]
    assert cost_if_it_holds(day, run.routes) >= 0
    price, gap, _ = best_gap(
        *(day.crew[0], day.nodes, day.windows, day.travel[0], run.routes.stops, tour),
        *(0, len(made), one, 0, UNREACHABLE_S, 0.0, chance),
    )
    plans = [((*made[:p], Call(one), *made[p:]),) for p in range(len(made) + 1)]
    gaps = [
        drive_of(problem, 0, plan[0])[0] - drive_of(problem, 0, made)[0]
        for plan in plans
        if not hard_breaches(problem, plan)
    ]
    assert (price if gap != NO_PLACE else None) == min(gaps, default=None)


def hard_breaches(problem, plan):
    """Return what breaks, but for skills and holds, which are looked up in a table."""
    left = {BreachKind.SKILL, BreachKind.HELD}
    return [one for one in breaches(problem, plan) if one.kind not in left]


def test_a_plan_that_does_not_hold_is_passed_over():
    problem = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2)])
    run = Run(problem, 1, 100)
    before = run.cost
    late = replace(problem, technicians=(technician(shift_to_s=8 * 3600 + 60),))
    short = Run(late, 1, 100)
    short.stand_at([nodes_of(late, route(0, 1))])
    assert short.best_routes() == ((),)
    run.stand_at([nodes_of(problem, route(1))])
    assert run.cost == before


def test_chance_is_even_and_its_seeds_differ():
    chance, other = chance_from(1), chance_from(2)
    numbers = np.array([drawn(chance) for _ in range(20_000)])
    assert 0 <= numbers.min() < numbers.max() < 1
    assert numbers.mean() == pytest.approx(0.5, abs=0.01)
    assert np.histogram(numbers, 10)[0] == pytest.approx(2000, rel=0.1)
    assert drawn(other) != numbers[0]


def pool_of(problem, plans) -> Run:
    run = Run(problem, 1, 1000)
    run.seen.ceiling[0] = np.inf
    for k, calls in plans:
        run.note(k, nodes_of(problem, calls))
    return run


@pytest.mark.parametrize("seed", range(6))
def test_the_best_mix_of_a_pool_is_found(seed):
    """Against every choice of two routes."""
    problem = replace(
        random_day(seed), technicians=(technician(1), technician(2, shift_to_s=50400))
    )
    problem = replace(
        problem, visits=tuple(replace(v, held_by=None, skills=frozenset()) for v in problem.visits)
    )
    sets = [route(*chosen) for size in (1, 2, 3) for chosen in combinations(range(5), size)]
    run = pool_of(problem, [(k, calls) for calls in sets for k in (0, 1)])
    columns = columns_of(run.day, run.seen)
    prices = prices_of(columns, np.zeros(len(columns.limits)))
    assert prices is not None
    plans = [
        cost_of(problem, (a, b))
        for a in ((), *sets)
        for b in ((), *sets)
        if not {c.which for c in a} & {c.which for c in b} and not breaches(problem, (a, b))
    ]
    best = min(plans)
    assert prices.value <= best + 1e-6
    effort = Effort(deterministic=1.0)
    nothing = np.array([], np.int64)
    chosen = best_mix(columns, prices, best + 1, nothing, 500, effort)
    assert chosen is not None
    assert columns.saves[chosen].sum() + columns.worth.sum() == best
    assert best_mix(columns, prices, best, nothing, 500, effort) is None


def test_the_cheapest_order_of_a_set_of_visits_is_kept():
    problem = on_a_line([0, 10, 20, 25], [visit(name, i + 1) for i, name in enumerate("ABC")])
    run = pool_of(problem, [(0, route(0, 2, 1)), (0, route(0, 1, 2)), (0, route(1, 0, 2))])
    drives = run.seen.drive[: run.seen.size[0]]
    known = columns_of(run.day, run.seen)
    assert drives.min() == 50 * 60
    prices = prices_of(known, np.zeros(4))
    assert prices is not None
    assert prices.value == pytest.approx(50 * 60)


def test_a_pool_that_is_cut_down_still_knows_its_routes():
    problem = on_a_line([0, 10, 20, 25], [visit(name, i + 1) for i, name in enumerate("ABC")])
    run = pool_of(problem, [(0, route(0)), (0, route(1, 2)), (0, route(2))])
    keep_only(run.seen, np.array([1, 2]))
    assert run.seen.size[0] == 2
    assert run.seen.stops[: run.seen.begins[2]].tolist() == [1, 2, 2]
    run.note(0, nodes_of(problem, route(2)))
    assert run.seen.size[0] == 2
    run.note(0, nodes_of(problem, route(0)))
    assert run.seen.size[0] == 3


def test_roads_that_break_the_triangle_do_not_break_plans():
    """Leaving out a stop can lengthen a route where the direct road is the slower one."""
    problem = random_day(3)
    crooked = problem.travel_s.copy()
    crooked[0, 2:] += 900
    crooked[3, 4] = UNREACHABLE_S
    problem = replace(problem, travel_s=crooked)
    from registry.solvers.ruin_recreate import RuinRecreateSolver

    for seed in range(5):
        routes = RuinRecreateSolver().solve(problem, rounds=500, seed=seed).routes
        assert not breaches(problem, routes)


def test_mending_gives_up_the_least_worth_first():
    visits = [
        visit("A", 1, worth_s=100, service_s=4 * 3600),
        visit("B", 2, worth_s=900, service_s=4 * 3600),
        visit("C", 1, worth_s=50, service_s=4 * 3600),
    ]
    problem = on_a_line([0, 10, 20], visits)
    assert mended(problem, 0, route(0, 1, 2)) == route(0, 1)
    barred = replace(problem, technicians=(technician(people=0),))
    assert mended(barred, 0, route(0, 1)) == ()
