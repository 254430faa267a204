"""Roads that are closed for hours: days worked by hand, and what must hold for any of them."""

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.errors import PlanError
from registry.plan.breach import BreachKind
from registry.plan.check import breaches, check, totals_of
from registry.plan.clock import route_times
from registry.plan.cost import cost_of
from registry.plan.drive_on import drive_on
from registry.plan.driving import drive_of
from registry.plan.fits_together import fit_together
from registry.plan.problem import Lunch
from registry.plan.road_hours import Way, arrival_s, as_if_open, at_any_hour, fed_s
from registry.plan.shortfall import short_s
from tests.days import HOUR, MIN, on_a_line, route, visit
from tests.hours import random_day_by_hour, with_crossings

NOON = 12 * HOUR
AFTERNOON = [(NOON, 24 * HOUR)]
MORNING = [(0, 10 * HOUR)]


def kinds(problem, *calls):
    return [one.kind for one in breaches(problem, [route(*calls)])]


def test_a_site_beyond_a_road_that_closes_at_noon_is_made_in_the_morning_only():
    slow, beyond = visit("A", 1, service_s=4 * HOUR), visit("B", 2)
    day = with_crossings(on_a_line([0, 10, 30], [slow, beyond]), ([2], AFTERNOON, None))
    assert kinds(day, 1, 0) == []
    assert kinds(day, 0, 1) == [BreachKind.CLOSED]  # B is reached at 12:40
    with pytest.raises(PlanError, match="does not keep its hours"):
        route_times(day, 0, route(0, 1))


def test_who_works_beyond_must_be_out_before_the_road_closes():
    # Reached at 8:30; 30 minutes back, so work must be over at 11:30.
    just = visit("A", 1, service_s=3 * HOUR)
    day = with_crossings(on_a_line([0, 30], [just]), ([1], AFTERNOON, None))
    assert kinds(day, 0) == []
    longer = replace(day, visits=(replace(just, service_s=3 * HOUR + MIN),))
    assert kinds(longer, 0) == [BreachKind.CLOSED]
    assert short_s(longer, 0, route(0)) == MIN


def test_a_site_beyond_a_road_that_opens_at_ten_is_made_after_it():
    day = with_crossings(
        on_a_line([0, 10, 30], [visit("A", 1), visit("B", 2)]), ([2], MORNING, None)
    )
    times = route_times(day, 0, route(0, 1))
    # A is over at 8:40; the way on to B opens at 10:00 and takes 20 minutes.
    assert times.calls[1].arrives_s == 10 * HOUR + 20 * MIN
    assert times.wait_s == 80 * MIN
    assert drive_of(day, 0, route(0, 1))[0] == 60 * MIN


@pytest.mark.parametrize(
    ("detour_min", "arrives_min", "drive_min"),
    [
        # Left at 8:40; by the detour reached at 10:30, so it is better to wait until 10:00.
        (90, 10 * 60 + 20, 10 + 20 + 120),
        # By the detour reached at 10:10, though more is driven.
        (70, 10 * 60 + 10, 10 + 90 + 100),
    ],
)
def test_who_cannot_pass_waits_or_goes_round_whichever_is_there_first(
    detour_min, arrives_min, drive_min
):
    day = with_crossings(
        on_a_line([0, 10, 30], [visit("A", 1), visit("B", 2)]),
        ([2], [(0, 10 * HOUR), (10 * HOUR + 45 * MIN, 24 * HOUR)], detour_min * MIN),
    )
    times = route_times(day, 0, route(0, 1))
    assert times.calls[1].arrives_s == arrives_min * MIN
    # Work ends after 10:40 either way; the road closes at 10:45, so the way back is the detour.
    assert drive_of(day, 0, route(0, 1))[0] == drive_min * MIN


def test_where_the_gate_opens_later_anyhow_the_shorter_way_is_waited_for():
    late = visit("A", 1, windows=((11 * HOUR, NOON),))
    day = with_crossings(on_a_line([0, 30], [late]), ([1], MORNING, 20 * MIN))
    times = route_times(day, 0, route(0))
    assert (times.leaves_s, times.calls[0].starts_s) == (10 * HOUR + 30 * MIN, 11 * HOUR)
    assert drive_of(day, 0, route(0))[0] == 60 * MIN


def test_a_drive_that_would_still_be_on_the_road_when_it_closes_goes_round():
    at_noon = visit("A", 1, service_s=3 * HOUR + 31 * MIN)
    day = with_crossings(on_a_line([0, 30], [at_noon]), ([1], AFTERNOON, 15 * MIN))
    assert drive_of(day, 0, route(0))[0] == 75 * MIN  # left at 12:01 on the way back, 30 + 15
    assert check(day, [route(0)]).drive_s == 75 * MIN


def test_lunch_on_the_way_must_end_before_the_road_closes():
    # Left at 11:10 for a drive of 70 minutes that begins before lunch and ends after its hours.
    ways = (Way(0, 13 * HOUR, 70 * MIN, 0),)
    lunch = Lunch(from_s=11 * HOUR + 30 * MIN, to_s=12 * HOUR, duration_s=40 * MIN)
    assert fed_s(ways, 11 * HOUR + 10 * MIN, lunch) == 13 * HOUR
    assert fed_s(ways, 11 * HOUR + 11 * MIN, lunch) is None
    assert arrival_s(ways, 11 * HOUR + 11 * MIN) == 12 * HOUR + 21 * MIN


def test_held_visits_beyond_a_closing_road_fit_one_technician_only_in_time():
    day = with_crossings(
        on_a_line([0, 30, 40], [visit("A", 1, service_s=2 * HOUR), visit("B", 2)]),
        ([1, 2], AFTERNOON, None),
    )
    assert fit_together(day, 0, (0, 1))
    longer = replace(day, visits=(replace(day.visits[0], service_s=3 * HOUR), day.visits[1]))
    assert not fit_together(longer, 0, (0, 1))


def test_a_route_that_is_too_late_for_a_road_is_told_where_and_by_how_much():
    slow, beyond = visit("A", 1, service_s=4 * HOUR), visit("B", 2)
    day = with_crossings(on_a_line([0, 10, 30], [slow, beyond]), ([2], AFTERNOON, None))
    late = drive_on(day, 0, route(0, 1)).late
    # A is over at 12:10; the road of 20 minutes had to be begun at 11:40, and is closed on return.
    assert [(one.at, one.kind, one.by_s) for one in late] == [
        (1, BreachKind.CLOSED, 30 * MIN),
        (2, BreachKind.CLOSED, 13 * HOUR - (NOON - 30 * MIN)),
    ]


ways = st.lists(
    st.builds(
        lambda from_s, length_s, drive_s: Way(from_s, from_s + length_s, drive_s, 0),
        st.integers(0, 600),
        st.integers(0, 600),
        st.integers(0, 300),
    ),
    max_size=4,
)
lunches = st.builds(
    lambda from_s, length_s, duration_s: Lunch(
        from_s=from_s, to_s=from_s + length_s, duration_s=duration_s
    ),
    st.integers(0, 600),
    st.integers(0, 300),
    st.integers(0, 100),
)


@settings(max_examples=400, deadline=None)
@given(ways, lunches, st.integers(0, 900), st.integers(0, 300))
def test_who_sets_off_sooner_is_never_there_later(ways, lunch, now_s, later_s):
    for reached in (lambda at: arrival_s(ways, at), lambda at: fed_s(ways, at, lunch)):
        sooner, later = reached(now_s), reached(now_s + later_s)
        assert later is None or (sooner is not None and sooner <= later)


@pytest.mark.parametrize("seed", range(60))
def test_clock_and_independent_check_agree_on_every_order(seed):
    day = random_day_by_hour(seed, full=seed % 2 == 0)
    for k in range(len(day.technicians)):
        able = [i for i in range(len(day.visits)) if day.may_make(k, i)][:3]
        for size in range(1, len(able) + 1):
            for order in permutations(able, size):
                routes = [route(*order) if n == k else () for n in range(len(day.technicians))]
                found = {one.kind for one in breaches(day, routes)} - {BreachKind.REQUIRED}
                assert (found == set()) == (short_s(day, k, routes[k]) == 0), found
                late = drive_on(day, k, routes[k]).late
                hours = {BreachKind.CLOSED, BreachKind.WINDOW, BreachKind.SHIFT, BreachKind.LUNCH,
                         BreachKind.UNREACHABLE}  # fmt: skip
                assert bool(late) == bool(found & hours)
                if found:
                    continue
                told = totals_of(day, routes)
                assert told.cost == cost_of(day, tuple(routes))
                assert (told.drive_s, told.drive_m) == drive_of(day, k, routes[k])


@pytest.mark.parametrize("seed", range(40))
def test_a_plan_that_keeps_off_the_roads_all_day_holds_and_costs_no_more(seed):
    day = random_day_by_hour(seed)
    careful, best = at_any_hour(day), as_if_open(day)
    for k in range(len(day.technicians)):
        able = [i for i in range(len(day.visits)) if day.may_make(k, i)][:3]
        for order in permutations(able):
            calls = route(*order)
            if short_s(careful, k, calls) == 0:
                assert short_s(day, k, calls) == 0
                assert drive_of(day, k, calls)[0] <= drive_of(careful, k, calls)[0]
            if short_s(day, k, calls) == 0:
                assert short_s(best, k, calls) == 0
                assert drive_of(best, k, calls)[0] <= drive_of(day, k, calls)[0]
