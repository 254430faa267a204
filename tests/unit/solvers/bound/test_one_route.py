"""The proven order of a route beside all orders of its visits."""

from dataclasses import replace
from itertools import permutations

import numpy as np

from registry.plan.check import breaches
from registry.plan.check_route import best_run, driven
from registry.plan.problem import Call, DayFill, DayProblem, RouteCalls
from registry.solvers.bound.one_route import best_order, best_orders
from tests.unit.solvers.bound.small_days import drive_if_it_holds, random_day


def routes_that_hold(day: DayProblem):
    """Routes of some visits in a chance order that hold, with the technician."""
    chance = np.random.default_rng(len(day.visits))
    for technician in range(len(day.technicians)):
        able = [i for i in range(len(day.visits)) if day.may_make(technician, i)]
        for _ in range(6):
            some = chance.permutation(able)[: int(chance.integers(2, 8))]
            order = tuple(int(one) for one in some)
            if drive_if_it_holds(day, technician, order) is not None:
                yield technician, order


def test_the_best_order_is_the_shortest_of_all_permutations():
    looked_at = shorter = 0
    for seed in range(120):
        day = replace(random_day(seed))
        day = replace(
            day,
            visits=tuple(replace(v, service_s=v.service_s // 3) for v in day.visits),
            technicians=tuple(replace(t, capacity=None) for t in day.technicians),
        )
        for technician, order in routes_that_hold(day):
            calls = tuple(Call(visit) for visit in order)
            found = best_order(day, technician, calls)
            least = min(
                drive
                for one in permutations(order)
                if (drive := drive_if_it_holds(day, technician, one)) is not None
            )
            assert found.proven
            assert driven(day, technician, found.calls)[0] == least
            assert sorted(call.which for call in found.calls) == sorted(order)
            looked_at += 1
            shorter += found.calls != calls
    assert looked_at > 150
    assert shorter > 40


def with_fills(order: tuple[int, ...], fills: int):
    """All routes of an order with at most one call for water before each visit but the first."""
    if not order:
        yield ()
        return
    for rest in with_fills(order[1:], fills):
        yield (Call(order[0]), *rest)
        for fill in range(fills):
            yield (Call(fill, is_fill=True), Call(order[0]), *rest)


def test_the_best_order_with_calls_for_water_and_septage_is_the_shortest_of_all():
    looked_at = 0
    for seed in range(40):
        day = random_day(seed)
        place = len(day.visits) + 1
        fills = (
            DayFill(id="w", name="water", place=place, service_s=300),
            DayFill(id="s", name="disposal", place=place, service_s=300, empties=True),
        )
        visits = tuple(
            replace(v, service_s=600, water_gal=50.0, septage_gal=40.0, windows=((0, 86_400),))
            for v in day.visits
        )
        crew = tuple(
            replace(t, tank_gal=110.0, room_gal=130.0, capacity=None) for t in day.technicians
        )
        day = replace(day, visits=visits, technicians=crew, fills=fills)
        able = [i for i in range(len(visits)) if day.may_make(0, i)][:4]
        held = [
            (driven(day, 0, calls)[0], calls)
            for order in permutations(able)
            for calls in with_fills(order, len(fills))
            if holds(day, calls)
        ]
        if not held:
            continue
        longest = max(held)[1]
        found = best_order(day, 0, longest)
        assert found.proven
        assert holds(day, found.calls)
        assert driven(day, 0, found.calls)[0] == min(held)[0]
        looked_at += 1
    assert looked_at > 20


def holds(day: DayProblem, calls: RouteCalls) -> bool:
    alone = (calls, *((),) * (len(day.technicians) - 1))
    return breaches(day, alone) == []


def test_a_route_of_more_visits_than_can_be_proven_says_so_and_stays_as_it_is():
    day = random_day(1)
    many = replace(day, visits=day.visits * 3)
    calls = tuple(Call(i) for i in range(13))
    found = best_order(many, 0, calls)
    assert not found.proven
    assert found.calls == calls


def test_a_route_whose_overtime_costs_is_not_said_to_be_proven():
    day = random_day(1)
    over = replace(day, technicians=tuple(replace(t, overtime_s=3600) for t in day.technicians))
    assert not best_order(over, 0, (Call(0), Call(1))).proven


def test_each_route_of_a_plan_is_put_in_its_best_order():
    day = random_day(4)
    routes, proven = best_orders(day, ((),) * len(day.technicians))
    assert routes == ((),) * len(day.technicians)
    assert all(proven)


def test_twelve_visits_open_all_day_are_proven():
    chance = np.random.default_rng(12)
    day = random_day(0)
    at = chance.uniform(0, 30, (14, 2))
    travel = np.rint(60 * np.sqrt(((at[:, None] - at[None]) ** 2).sum(-1))).astype(np.int64)
    who = replace(
        day.technicians[0], start_place=12, end_place=13, shift_to_s=86_400, capacity=None
    )
    stop = replace(day.visits[0], windows=((0, 86_400),), service_s=300, held_by=None)
    visits = tuple(replace(stop, place=i, skills=frozenset()) for i in range(12))
    twelve = replace(day, travel_s=travel, travel_m=travel, technicians=(who,), visits=visits)
    calls = tuple(Call(i) for i in range(12))
    assert best_run(twelve, 0, calls, {}).breach is None
    found = best_order(twelve, 0, calls)
    assert found.proven
    assert driven(twelve, 0, found.calls)[0] < driven(twelve, 0, calls)[0]
