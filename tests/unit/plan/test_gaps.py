"""One more call in any gap of a route: kept clocks find what walking every such route finds.

The reference is full enumeration: each route is built and walked whole.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from hypothesis import example, given, settings
from hypothesis import strategies as st

from registry.plan.cost import route_cost
from registry.plan.driving import drive_of
from registry.plan.gaps import Clocks
from registry.plan.problem import ANYWHERE, Call, DayProblem, RouteCalls
from registry.plan.room_made import may_fall_out, room_made
from registry.plan.shortfall import short_s
from registry.plan.tanks import empty_at
from registry.plan.ways import best_way, cheapest_fit
from tests.days import random_day, random_full_day
from tests.hours import random_day_by_hour


def drawn(seed: int) -> tuple[DayProblem, tuple[RouteCalls, RouteCalls]]:
    """A small random day of any kind, and two routes that hold or not; the last visit waits."""
    chance = np.random.default_rng([17, seed])
    day = (
        lambda: random_day(seed, visits=6),
        lambda: random_full_day(seed),
        lambda: random_day_by_hour(seed, visits=5),
        lambda: random_day_by_hour(seed, full=True),
    )[seed % 4]()
    visits = list(day.visits)
    if chance.random() < 0.5:
        at = int(chance.integers(len(visits)))
        visits[at] = replace(visits[at], place=ANYWHERE)
    order = [Call(i) for i in chance.permutation(len(visits)).tolist()]
    half = len(order) // 2
    routes = [order[:half], order[half:-1]]
    for calls in routes:
        if chance.random() < 0.3:
            fill = Call(int(chance.integers(len(day.fills))), is_fill=True)
            calls.insert(int(chance.integers(len(calls) + 1)), fill)
    return replace(day, visits=tuple(visits)), (tuple(routes[0]), tuple(routes[1]))


def with_one_more(day: DayProblem, k: int, calls: RouteCalls, visit: int) -> Iterator[RouteCalls]:
    """The routes with a visit more, and where a tank would not last then, with a stop for it."""
    for gap in range(len(calls) + 1):
        new = (*calls[:gap], Call(visit), *calls[gap:])
        lacking = empty_at(day, k, new)
        helping = [
            Call(number, is_fill=True)
            for number, fill in enumerate(day.fills)
            if lacking is not None and fill.empties == lacking[1]
        ]
        if not helping:
            yield new
        for fill in helping:
            for at in range(len(new)):
                yield (*new[:at], fill, *new[at:])


def walked(day: DayProblem, k: int, calls: RouteCalls, visit: int) -> tuple[int, int]:
    """The least shortfall and then the least driving of all routes with a visit more."""
    return min(
        (short_s(day, k, one), drive_of(day, k, one)[0])
        for one in with_one_more(day, k, calls, visit)
    )


@given(seed=st.integers(0, 10**6))
@settings(max_examples=60, deadline=None)
@example(seed=2)
@example(seed=3)
def test_the_best_way_to_have_one_more_is_the_one_that_walking_each_route_finds(seed: int) -> None:
    day, routes = drawn(seed)
    known = Clocks(day)
    for k, calls in enumerate(routes):
        for visit in {*range(len(day.visits))} - {one.which for one in calls if not one.is_fill}:
            way = best_way(day, k, calls, visit, known)
            short, drive = walked(day, k, calls, visit)
            assert (way.short_s, way.added_s) == (short, drive - drive_of(day, k, calls)[0])
            assert short_s(day, k, way.calls) == way.short_s
            fit = cheapest_fit(day, k, calls, visit, known)
            assert fit == (way if way.fits else None)


@given(seed=st.integers(0, 10**6))
@settings(max_examples=30, deadline=None)
def test_the_visit_that_falls_out_is_the_one_that_walking_each_route_finds(seed: int) -> None:
    day, routes = drawn(seed)
    known = Clocks(day)
    for k, calls in enumerate(routes):
        visit = next(i for i in range(len(day.visits)) if Call(i) not in calls)
        found = room_made(day, k, calls, visit, 1, known)
        worth = [
            route_cost(day, k, best_way(day, k, shorter, visit).calls) + day.visits[out].worth_s
            for at, (out, is_fill) in enumerate(calls)
            if not is_fill and may_fall_out(day, out)
            for shorter in [(*calls[:at], *calls[at + 1 :])]
            if walked(day, k, shorter, visit)[0] == 0
        ]
        assert (found is None) == (not worth)
        if found is not None:
            out_s = sum(day.visits[one].worth_s for one in found.out)
            assert route_cost(day, k, found.calls) + out_s == min(worth)
