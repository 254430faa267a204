"""Branch and bound over a list of routes beside the integer program over the same list."""

import numpy as np

from registry.solvers.bound import branching
from registry.solvers.bound.branching import Branching
from registry.solvers.bound.cuts import broken_cuts
from registry.solvers.bound.kinds import BoundDay, bound_day
from registry.solvers.bound.master import Master
from registry.solvers.bound.mixing import best_of
from registry.solvers.bound.pool import Pool, counts_of, list_routes, price_pool
from registry.solvers.bound.pricing import room_for
from registry.solvers.bound.root import Pay, Watch
from tests.unit.solvers.bound.small_days import random_day


def nobody_hears(_text: str, _bound: int) -> None:
    """Let progress go unheard."""


def listed_day(seed: int) -> tuple[BoundDay, Pool, int]:
    """A day of some more visits, all its routes that pay, and what it costs if nobody leaves."""
    problem = random_day(seed, more=7)
    cost = sum(visit.worth_s for visit in problem.visits)
    day = bound_day(problem, cost)
    pay = Pay(day.worth * 1024, np.zeros(len(day.kinds), np.int64), np.zeros(0, np.int64))
    pool = list_routes(day, pay, 0, room_for(day, 200_000), 10**9)
    assert pool is not None
    return day, pool, cost


def test_branching_finds_the_plan_that_the_integer_program_finds(monkeypatch):
    monkeypatch.setattr(branching, "FEW_ROUTES", 0)
    torn = []
    inner = Branching.torn
    monkeypatch.setattr(Branching, "torn", lambda self, x: torn.append(1) or inner(self, x))
    for seed in range(14):
        day, pool, cost = listed_day(seed)
        master = Master(day)
        master.add(pool.routes(np.arange(min(20, len(pool.kind)))))
        found = Branching(day, pool, master, cost + 1, Watch(lambda: 0.0, 1e9), nobody_hears)
        bound = found.run(0)
        answer = best_of(day, pool, [], cost + 1, 60.0, 1)
        assert answer.routes is not None
        assert found.cost == answer.cost
        assert bound == answer.cost * 1024
    assert len(torn) > 15


def test_the_cuts_hold_for_every_plan_of_the_list():
    for seed in range(6):
        day, pool, cost = listed_day(seed)
        answer = best_of(day, pool, [], cost + 1, 60.0, 1)
        assert answer.routes is not None
        chance = np.random.default_rng(seed)
        routes = pool.routes(np.arange(len(pool.kind)))
        shares = chance.random(len(routes)) * (chance.random(len(routes)) < 0.1)
        cuts = broken_cuts(day, routes, shares, set(), 60)
        for cut in cuts:
            assert counts_of(pool, cut, day.visits)[answer.routes].sum() <= cut.limit
        pay = Pay(day.worth * 0, np.zeros(len(day.kinds), np.int64), np.full(len(cuts), -1024))
        counted = -(price_pool(pool, pay, cuts) - pool.cost_s * 1024) // -1024
        by_hand = sum(counts_of(pool, cut, day.visits) for cut in cuts)
        assert np.array_equal(counted, by_hand if cuts else counted * 0)
