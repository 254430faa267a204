"""A change made by hand: worked by hand on tiny days, and held to the independent check."""

import random
from dataclasses import replace
from typing import Any

import pytest

from registry.errors import RangeError
from registry.plan.breach import BreachKind
from registry.plan.broken import Broken
from registry.plan.check import breaches, totals_of
from registry.plan.moves import Edit, RouteSeen, edited, see_route, see_routes, try_routes
from registry.plan.problem import ANYWHERE, Call, DayFill, DayProblem, Link, RouteCalls
from registry.plan.where_else import where_else
from tests.days import (
    HOUR,
    LUNCH,
    MIN,
    LinkedDay,
    NamedDay,
    linked_days,
    named_days,
    on_a_line,
    random_day,
    random_full_day,
    route,
    technician,
    visit,
)

A, B, C = visit("A", 1), visit("B", 2), visit("C", 3)
ROAD = (0, 10, 20, 30)
PAIR = (technician(1), technician(2))
TIMED = {BreachKind.WINDOW, BreachKind.LUNCH, BreachKind.SHIFT}


def seen(problem: DayProblem, *stops: int | str, technician: int = 0) -> RouteSeen:
    return see_route(problem, technician, route(*stops))


def told(found: RouteSeen) -> list[tuple[int, str]]:
    return [(one.at, one.text) for one in found.broken]


def test_a_visit_is_taken_off_put_elsewhere_and_moved() -> None:
    routes = (route(0, 1), route(2))
    assert edited(routes, Edit(call=Call(1), at=(0, 1))) == (route(0), route(2))
    assert edited((route(0), ()), Edit(call=Call(1), to=(1, 0))) == (route(0), route(1))
    assert edited(routes, Edit(call=Call(0), at=(0, 0), to=(1, 1))) == (route(1), route(2, 0))
    assert edited(routes, Edit(call=Call(0), at=(0, 0), to=(0, 1))) == (route(1, 0), route(2))


@pytest.mark.parametrize(
    "edit",
    [
        Edit(call=Call(0), at=(0, 1)),
        Edit(call=Call(0), at=(5, 0)),
        Edit(call=Call(0), to=(0, 0)),
        Edit(call=Call(0), at=(0, 0), to=(1, 2)),
        Edit(call=Call(0), at=(0, 0), to=(2, 0)),
    ],
)
def test_a_change_of_routes_that_are_not_so_is_refused(edit: Edit) -> None:
    with pytest.raises(RangeError, match="Load the page again"):
        edited((route(0, 1), route(2)), edit)


def test_moving_a_visit_tells_the_new_times_and_the_change_of_driving() -> None:
    """From 0 to A (10 min), B (20 min), C (30 min) and back; A goes from the first to the second.

    First route: 0-B-0 is 40 min as before. Second: 0-A-C-0 is 60 min as 0-C-0 was.
    """
    day = on_a_line(ROAD, [A, B, C], PAIR)
    done = try_routes(day, (route(0, 1), route(2)), (route(1), route(0, 2)))
    assert [one.technician for one in done.routes] == [0, 1]
    starts = [[call.starts_s for call in one.times.calls] for one in done.routes]
    assert starts == [[8 * HOUR + 20 * MIN], [8 * HOUR + 10 * MIN, 9 * HOUR]]
    assert done.holds
    assert (done.drive_s, done.waiting_s, done.cost_s) == (0, 0, 0)


def test_taking_a_visit_off_saves_its_driving_and_costs_its_worth() -> None:
    """0-A-B-0 drives 40 min, 0-A-0 drives 20; B is worth three hours."""
    day = on_a_line(ROAD, [A, B])
    done = try_routes(day, (route(0, 1),), (route(0),))
    assert (done.drive_s, done.waiting_s) == (-20 * MIN, 3 * HOUR)
    assert done.cost_s == 160 * MIN


def test_who_is_late_drives_on_and_the_next_gate_is_reached_late_too() -> None:
    """At A from 8:10 to 8:40, so at B at 8:50, 5 min late; over at 9:20, at C at 9:30."""
    early = replace(B, windows=((8 * HOUR, 8 * HOUR + 45 * MIN),))
    found = seen(on_a_line(ROAD, [A, early, C]), 0, 1, 2)
    assert told(found) == [(1, "5 min late: work must start by 8:45")]
    assert found.times.calls[1].starts_s == 8 * HOUR + 50 * MIN
    assert found.times.calls[1].window == (8 * HOUR, 8 * HOUR + 45 * MIN)
    assert found.times.calls[2].arrives_s == 9 * HOUR + 30 * MIN


def test_a_shift_that_is_too_short_is_told_on_the_way_back() -> None:
    """0-A-B-0: 40 min of driving and an hour of work, so back at 9:40."""
    day = on_a_line(ROAD, [A, B], [technician(shift_to_s=9 * HOUR + 30 * MIN)])
    assert told(seen(day, 0, 1)) == [(2, "back at 9:40: the shift ends at 9:30, 10 min over")]


def test_lunch_is_taken_where_least_gives_way() -> None:
    """Two hours at A (8:10 to 10:10), at B 10:20 to 12:20; lunch starts by 12:00 and takes 30 min.

    At the gate of B it would be from 11:00, so back at 13:50, 50 min over. After the work at B it
    is 20 min late and the way back ends at 13:10, 10 min over: 30 min in all.
    """
    long = [replace(one, service_s=2 * HOUR) for one in (A, B)]
    day = on_a_line(ROAD, long, [technician(shift_to_s=13 * HOUR, lunch=LUNCH)])
    found = seen(day, 0, 1)
    assert sorted(told(found)) == [
        (2, "back at 13:10: the shift ends at 13:00, 10 min over"),
        (2, "lunch cannot start by 12:00"),
    ]
    assert found.times.lunch is not None
    assert found.times.lunch.starts_s == 12 * HOUR + 20 * MIN


def test_water_is_told_where_it_runs_out_and_a_fill_stop_mends_it() -> None:
    dry = [replace(one, water_gal=60.0) for one in (A, B, C)]
    fill = DayFill(id="0", name="Hydrant", place=0, service_s=10 * MIN)
    day = on_a_line(ROAD, dry, [technician(tank_gal=100.0)], [fill])
    found = seen(day, 0, 1, 2)
    assert found.water_gal == (40.0, -20.0, -80.0)
    assert told(found)[0] == (1, "the tank is 20 gal short here")
    assert seen(day, 0, "f0", 1).broken == ()
    assert seen(day, 0, "f0", 1).water_gal == (40.0, 100.0, 40.0)


def test_septage_is_told_where_there_is_no_room_for_it() -> None:
    full = [replace(one, septage_gal=800.0) for one in (A, B)]
    found = seen(on_a_line(ROAD, full, [technician(room_gal=1000.0)]), 0, 1)
    assert told(found) == [(1, "there are 600 gal too little room for septage here")]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"skills": frozenset({"pump licence"})}, "needs pump licence, which Technician 1 has not"),
        ({"people": 2}, "needs 2 people; Technician 1 comes alone"),
        ({"held_by": 1}, "is held to Technician 2"),
        ({"ruled_out": frozenset({0})}, "is ruled out for Technician 1"),
    ],
)
def test_what_a_technician_may_not_do_is_told_at_the_stop(
    change: dict[str, Any], says: str
) -> None:
    assert told(seen(on_a_line(ROAD, [A, replace(B, **change)], PAIR), 0, 1)) == [(1, says)]


def test_a_road_that_is_not_there_takes_no_time_and_is_told() -> None:
    blocked = next(day for day in named_days() if day.name == "unreachable").problem
    found = seen(blocked, 0, 1)
    assert (1, "no road leads here") in told(found)
    assert found.times.returns_s < 12 * HOUR


def test_a_held_visit_that_is_taken_off_is_told() -> None:
    day = on_a_line(ROAD, [A, replace(B, required=True)])
    done = try_routes(day, (route(0, 1),), (route(0),))
    assert done.off == (
        Broken(0, BreachKind.REQUIRED, "Site B is held for this day and is on no route"),
    )
    assert not done.holds


def test_visits_made_one_after_the_other_are_told_at_the_later_one() -> None:
    day = replace(on_a_line(ROAD, [A, B]), links=(Link(first=1, then=0),))
    assert try_routes(day, ((),), (route(0, 1),)).routes[0].broken == (
        Broken(0, BreachKind.LINK, "starts before Site B is over"),
    )
    assert try_routes(day, ((),), (route(0),)).routes[0].broken == (
        Broken(0, BreachKind.LINK, "is not made without Site B, which is on no route"),
    )


@pytest.mark.parametrize(
    "wrong", [(route(0), ()), (route(7),), (route(0, 0),), (route("f0"),)], ids=str
)
def test_routes_of_another_day_are_refused(wrong: tuple[RouteCalls, ...]) -> None:
    with pytest.raises(RangeError, match="Load the page again"):
        try_routes(on_a_line(ROAD, [A]), ((),), wrong)


def test_every_place_for_a_visit_has_its_cost_and_what_breaks_there() -> None:
    """C (30 min from the yard) beside A on the first route or alone on the second.

    0-A-0 is 20 min. With C in either place the first route drives 60 min: 40 more. Alone on the
    second it is 60 more. It is worth 180 min, so the day costs 140 and 120 min less.
    """
    short = technician(2, shift_to_s=9 * HOUR)
    day = on_a_line(ROAD, [A, C], [technician(1), replace(short, name="Technician 2")])
    day = replace(day, visits=(A, replace(C, place=3)))
    places = where_else(day, (route(0), ()), Call(1), None)
    assert [(one.technician, one.number, one.cost_s) for one in places] == [
        (0, 0, -140 * MIN),
        (0, 1, -140 * MIN),
        (1, 0, -120 * MIN),
    ]
    assert [one.fits for one in places] == [True, True, False]
    assert places[2].breaks == ("back at 9:30: the shift ends at 9:00, 30 min over")


def test_the_place_where_a_visit_stands_costs_nothing() -> None:
    day = on_a_line(ROAD, [A, B, C], PAIR)
    places = where_else(day, (route(0, 1), route(2)), Call(1), (0, 1))
    assert next(one for one in places if (one.technician, one.number) == (0, 1)).cost_s == 0


def random_routes(problem: DayProblem, dice: random.Random) -> tuple[RouteCalls, ...]:
    """Routes made without any thought: most break something."""
    routes: list[list[Call]] = [[] for _ in problem.technicians]
    for which in dice.sample(range(len(problem.visits)), len(problem.visits)):
        if dice.random() < 0.85:
            chosen = dice.choice(routes)
            chosen.insert(dice.randint(0, len(chosen)), Call(which))
    for which in range(len(problem.fills)):
        if dice.random() < 0.4:
            chosen = dice.choice(routes)
            chosen.insert(dice.randint(0, len(chosen)), Call(which, is_fill=True))
    return tuple(tuple(calls) for calls in routes)


def kinds(problem: DayProblem, routes: tuple[RouteCalls, ...]) -> set[BreachKind]:
    """What the page says of routes that were made from nothing."""
    done = try_routes(problem, tuple(() for _ in routes), routes)
    return {one.kind for one in (*done.off, *(b for route in done.routes for b in route.broken))}


def agree(problem: DayProblem, routes: tuple[RouteCalls, ...]) -> None:
    """Hold what the page says of routes to ``registry.plan.check``.

    The check stops a route where hours first give way, the page drives on: so the check's kinds
    are among the page's, and the page is silent where the check is. One thing has two names: where
    a day is long enough without lunch only, the check misses lunch and the page the shift's end.
    A road that is not there counts as 116 days of driving to the check, and as none on the page.
    """
    found = {one.kind for one in breaches(problem, routes)}
    said = kinds(problem, routes)
    if BreachKind.LUNCH in found and BreachKind.SHIFT in said:
        found = found - {BreachKind.LUNCH} | {BreachKind.SHIFT}
    if BreachKind.UNREACHABLE in found | said:
        found, said = found - {BreachKind.DRIVING}, said - {BreachKind.DRIVING}
    assert bool(found) == bool(said), (found, said)
    assert found <= said, (found, said)
    assert said - TIMED - {BreachKind.LINK, BreachKind.UNREACHABLE} <= found, (found, said)
    if BreachKind.UNREACHABLE not in found:
        cost = try_routes(problem, tuple(() for _ in routes), routes).cost_s
        nothing = totals_of(problem, [() for _ in routes]).cost
        priced = any(who.overtime_s for who in problem.technicians)
        assert (priced and found) or cost == totals_of(problem, routes).cost - nothing


@pytest.mark.parametrize("seed", range(300))
def test_what_is_said_of_any_routes_is_what_the_independent_check_finds(seed: int) -> None:
    dice = random.Random(seed)  # noqa: S311 - no secret
    make = (random_day, random_full_day)[seed % 2]
    problem = make(seed)
    for _ in range(4):
        agree(problem, random_routes(problem, dice))


@pytest.mark.parametrize("day", [*named_days(), *linked_days()], ids=lambda day: day.name)
def test_plans_blind_to_one_limit_are_told_to_break_it(day: NamedDay | LinkedDay) -> None:
    agree(day.problem, day.blind)


@pytest.mark.parametrize("seed", range(60))
def test_every_place_says_what_the_independent_check_finds_there(seed: int) -> None:
    dice = random.Random(seed)  # noqa: S311 - no secret
    problem = (random_day, random_full_day)[seed % 2](seed)
    routes = random_routes(problem, dice)
    on = [(k, n) for k, calls in enumerate(routes) for n, _ in enumerate(calls)]
    if not on:
        return
    at = dice.choice(on)
    call = routes[at[0]][at[1]]
    for place in where_else(problem, routes, call, at):
        after = edited(routes, Edit(call=call, at=at, to=(place.technician, place.number)))
        here = tuple(c if k == place.technician else () for k, c in enumerate(after))
        found = {one.kind for one in breaches(problem, here)} - {
            BreachKind.REQUIRED,
            BreachKind.LINK,
        }
        assert place.fits == (not found) or place.kind is BreachKind.LINK
        if place.kind not in (None, BreachKind.LINK, BreachKind.SHIFT):
            assert place.kind in found
        done = try_routes(problem, routes, after)
        if place.cost_s is not None and place.fits and done.holds:
            assert place.cost_s == done.cost_s


def test_a_slot_kept_free_has_no_place_of_its_own() -> None:
    free = visit("free", ANYWHERE)
    found = see_routes(on_a_line(ROAD, [A, free]), (route(0, 1),), [0])[0]
    assert found.drive_s == 20 * MIN
    assert found.broken == ()
