"""The clock of one route, by hand-worked days."""

from dataclasses import replace

import pytest

from registry.errors import PlanError
from registry.plan.check import BreachKind, breaches
from registry.plan.clock import route_times
from tests.days import HOUR, LUNCH, MIN, on_a_line, random_day, route, technician, visit

EIGHT = 8 * HOUR


def test_a_route_leaves_only_when_its_first_window_asks_for_it():
    late = visit("A", 1, windows=((10 * HOUR, 11 * HOUR),))
    times = route_times(on_a_line([0, 10], [late]), 0, route(0))
    assert times.leaves_s == 10 * HOUR - 10 * MIN
    assert times.calls[0].starts_s == 10 * HOUR
    assert times.calls[0].window == (10 * HOUR, 11 * HOUR)
    assert times.returns_s == 10 * HOUR + 40 * MIN
    assert times.wait_s == 0


def test_waiting_between_stops_is_counted():
    late = visit("B", 2, windows=((10 * HOUR, 11 * HOUR),))
    times = route_times(on_a_line([0, 10, 20], [visit("A", 1), late]), 0, route(0, 1))
    assert times.calls[0].leaves_s == EIGHT + 40 * MIN
    assert times.calls[1].arrives_s == EIGHT + 50 * MIN
    assert times.wait_s == 70 * MIN


@pytest.mark.parametrize(
    ("service_min", "starts_min", "share"),
    [
        (150, 11 * 60, 1.0),  # reached at 10:50, lunch there when its hours begin
        (200, 11 * 60 + 40, 1.0),  # reached at 11:40, lunch at once
        (225, 11 * 60 + 55, 0.0),  # left at 11:55, reached too late: lunch before leaving
    ],
)
def test_lunch_falls_where_its_hours_allow(service_min, starts_min, share):
    visits = [visit("A", 1, service_s=service_min * MIN), visit("B", 2, service_s=2 * HOUR)]
    problem = on_a_line([0, 10, 20], visits, [technician(lunch=LUNCH)])
    lunch = route_times(problem, 0, route(0, 1)).lunch
    assert lunch is not None
    assert lunch.before == 1
    assert (lunch.starts_s, lunch.ends_s) == (starts_min * MIN, (starts_min + 30) * MIN)
    assert lunch.share == share


def test_a_long_drive_is_broken_off_for_lunch():
    visits = [visit("A", 1, service_s=2 * HOUR), visit("B", 2)]
    problem = on_a_line([0, 10, 190], visits, [technician(shift_to_s=20 * HOUR, lunch=LUNCH)])
    times = route_times(problem, 0, route(0, 1))
    assert times.lunch is not None
    assert times.lunch.starts_s == 11 * HOUR
    assert times.lunch.share == pytest.approx(50 / 180)  # left at 10:10, three hours of road
    assert times.calls[1].arrives_s == 13 * HOUR + 40 * MIN


def test_nobody_back_before_the_lunch_hours_end_takes_lunch():
    times = route_times(on_a_line([0, 10], [visit("A", 1)], [technician(lunch=LUNCH)]), 0, route(0))
    assert times.lunch is None
    assert times.returns_s == EIGHT + 50 * MIN


def test_the_second_window_is_used_when_the_first_is_missed():
    visits = [visit("A", 1, windows=((EIGHT, EIGHT + 5 * MIN), (9 * HOUR, 10 * HOUR)))]
    times = route_times(on_a_line([0, 10], visits), 0, route(0))
    assert times.calls[0].starts_s == 9 * HOUR
    assert times.calls[0].window == (9 * HOUR, 10 * HOUR)


def test_a_route_that_does_not_fit_is_refused():
    problem = on_a_line([0, 10], [visit("A", 1, windows=((7 * HOUR, EIGHT),))])
    with pytest.raises(PlanError, match="Technician 1"):
        route_times(problem, 0, route(0))


@pytest.mark.parametrize("seed", range(25))
def test_the_clock_and_the_check_agree_on_what_fits(seed):
    """Two ways to the same answer: two clocks, and one clock with lunch tried on every leg."""
    problem = random_day(seed)
    free = replace(
        problem,
        visits=tuple(
            replace(one, skills=frozenset(), held_by=None, water_gal=0.0) for one in problem.visits
        ),
    )
    for calls in (route(0, 1), route(2, 3, 4), route(1, "f0", 2), route(4, 3, 2, 1), route(3)):
        found = {one.kind for one in breaches(free, [calls, ()])} - {BreachKind.REQUIRED}
        try:
            times = route_times(free, 0, calls)
        except PlanError:
            assert found
            continue
        assert not found
        assert times.returns_s <= free.technicians[0].shift_to_s
        for call, when in zip(calls, times.calls, strict=True):
            if not call.is_fill:
                windows = free.visits[call.which].windows
                assert any(opens <= when.starts_s <= closes for opens, closes in windows)
