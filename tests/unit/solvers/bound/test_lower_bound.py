"""The bound beside the optimum of small days, which is found by looking at every plan."""

from collections.abc import Callable
from dataclasses import replace
from itertools import count

import pytest

from registry.plan.check import breaches, totals_of
from registry.plan.ports import ProgressLine
from registry.plan.problem import Call, DayFill, DayProblem, Link, RouteCalls
from registry.solvers.bound.lower import lower_bound
from tests.unit.solvers.bound.small_days import HOUR, optimum, random_day


def counting_clock() -> Callable[[], float]:
    """A clock that ticks whenever it is read, so that a bound ends at the same moment each time."""
    ticks = count()
    return lambda: float(next(ticks))


def simple_plan(day: DayProblem) -> tuple[RouteCalls, ...]:
    """A plan that holds: visits are put where they first fit."""
    routes: list[RouteCalls] = [()] * len(day.technicians)
    for visit in range(len(day.visits)):
        for k in range(len(routes)):
            if not day.may_make(k, visit):
                continue
            tried = [*routes[:k], (*routes[k], Call(visit)), *routes[k + 1 :]]
            if not breaches(replace(day, links=()), tried):
                routes = tried
                break
    return tuple(routes)


def bound_of(
    day: DayProblem,
    seconds: float = 1e6,
    plan: tuple[RouteCalls, ...] | None = None,
    progress: ProgressLine | None = None,
):
    plan = plan or simple_plan(day)
    cost = totals_of(day, plan).cost
    found = lower_bound(
        day,
        plan_cost=cost,
        routes=plan,
        seconds=seconds,
        clock=counting_clock(),
        progress=progress,
    )
    return cost, found


@pytest.mark.parametrize("tens", range(20))
def test_on_small_days_the_bound_is_the_optimum_of_full_enumeration_and_the_plan_is_not_below(tens):
    for seed in range(10 * tens, 10 * tens + 10):
        day = random_day(seed)
        best = optimum(day)
        plan_cost, found = bound_of(day)
        assert best <= found.cost <= plan_cost
        assert found.value == best
        assert found.proven
        assert found.cost == best
        if found.routes is not None:
            assert breaches(day, found.routes) == []
            assert totals_of(day, found.routes).cost == best


def test_a_day_with_too_many_visits_for_a_list_says_that_its_bound_is_rough_and_it_holds(
    monkeypatch,
):
    monkeypatch.setattr("registry.solvers.bound.lower.MOST_FOR_LISTS", 0)
    found = [(optimum(day), bound_of(day)[1]) for day in map(random_day, range(40))]
    assert all(one.value <= best for best, one in found if one.value is not None)
    assert all(bool(one.rough) != one.proven for _, one in found if one.value is not None)
    assert any(one.rough for _, one in found)


@pytest.mark.parametrize("ticks", [1, 4, 8, 12, 16, 20, 30, 40])
def test_a_bound_that_ends_early_still_holds(ticks):
    for seed in range(0, 200, 8):
        day = random_day(seed)
        _, found = bound_of(day, seconds=ticks)
        if found.value is not None:
            assert found.value <= optimum(day)


def test_the_bounds_that_are_told_on_the_way_hold_too_and_never_sink():
    for seed in range(0, 200, 4):
        day = random_day(seed)
        nobody_leaves: tuple[RouteCalls, ...] = ((),) * len(day.technicians)
        told: list[str] = []
        bound_of(day, plan=nobody_leaves, progress=lambda line, told=told: told.append(line.text))
        least = [int(text.rsplit(" ", 1)[1].strip(".").replace(",", "")) for text in told]
        assert least == sorted(least)
        assert not least or 0 < least[-1] <= optimum(day)


def test_a_visit_that_must_be_made_and_is_not_leaves_no_bound():
    day = random_day(3)
    must = replace(day, visits=(replace(day.visits[0], required=True), *day.visits[1:]))
    nobody: tuple[RouteCalls, ...] = ((),) * len(day.technicians)
    cost = totals_of(must, nobody).cost
    found = lower_bound(must, plan_cost=cost, routes=nobody, seconds=9e9, clock=counting_clock())
    assert found.value is None
    assert found.gap is None
    assert "must be made" in found.text


def test_visits_that_must_be_made_are_made_by_the_best_plan_too():
    looked_at = 0
    for seed in range(60):
        day = random_day(seed)
        plan = simple_plan(day)
        made = {call.which for calls in plan for call in calls}
        if len(made) < 3:
            continue
        visits = tuple(replace(v, required=i in made) for i, v in enumerate(day.visits))
        must = replace(day, visits=visits)
        _, found = bound_of(must, plan=plan)
        assert found.value == optimum(must)
        looked_at += 1
    assert looked_at > 20


def relaxed_days():
    """Days with what the bound leaves out, each with what it is."""
    for seed in range(30):
        day = random_day(seed)
        crew = day.technicians
        fill = DayFill(id="f", name="fill", place=len(day.visits) + 1, service_s=600)
        visits = tuple(replace(v, water_gal=100.0, septage_gal=50.0) for v in day.visits)
        tanks = tuple(replace(t, tank_gal=150.0, room_gal=100.0) for t in crew)
        yield "tanks", replace(day, technicians=tanks, visits=visits, fills=(fill,))
        over = tuple(replace(t, overtime_s=HOUR, overtime_percent=200) for t in crew)
        yield "overtime", replace(day, technicians=over)
        even = tuple(replace(t, even_s=HOUR, uneven_percent=30) for t in crew)
        yield "uneven work", replace(day, technicians=even)
        yield (
            "most drive",
            replace(day, technicians=tuple(replace(t, most_drive_s=2700) for t in crew)),
        )
        yield "links", replace(day, links=(Link(first=0, then=1),))


def test_what_the_bound_leaves_out_only_lowers_it():
    for what, day in relaxed_days():
        plan = simple_plan(day)
        if breaches(day, plan):
            continue
        cost = totals_of(day, plan).cost
        found = lower_bound(day, plan_cost=cost, routes=plan, seconds=9e9, clock=counting_clock())
        assert found.value is not None, what
        assert found.value <= found.cost <= cost, what
        assert found.routes is None or breaches(day, found.routes) == [], what


def test_a_limit_on_driving_is_part_of_what_is_proven():
    for seed in range(20):
        day = random_day(seed)
        crew = tuple(replace(t, most_drive_s=2400) for t in day.technicians)
        limited = replace(day, technicians=crew)
        _, found = bound_of(limited)
        assert found.value is not None
        assert found.value >= optimum(day)


def test_a_day_without_visits_or_technicians_is_proven_at_once():
    day = random_day(1)
    for empty in (replace(day, visits=()), replace(day, technicians=())):
        routes: tuple[RouteCalls, ...] = ((),) * len(empty.technicians)
        cost = totals_of(empty, routes).cost
        found = lower_bound(
            empty, plan_cost=cost, routes=routes, seconds=9e9, clock=counting_clock()
        )
        assert found.proven
        assert found.cost == cost
        assert found.gap == 0.0


def test_the_promise_in_words_is_rounded_up():
    day = random_day(5)
    _, found = bound_of(day, seconds=12)
    if not found.proven and found.value is not None:
        percent = float(found.text.split("at most ")[1].split(" %")[0])
        assert percent / 100 >= (found.gap or 0)
