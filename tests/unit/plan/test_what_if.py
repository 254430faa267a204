"""Questions about a day, worked by hand."""

from dataclasses import replace

import pytest

from registry.errors import RangeError
from registry.plan.difference import difference, said
from registry.plan.from_day import AtHand
from registry.plan.problem import UNREACHABLE_S, Solution
from registry.plan.what_if import with_another_technician, with_more_hours, with_visit_put
from tests.days import HOUR, MIN, on_a_line, route, technician, visit

PAIR = [technician(1), technician(2)]
DAY = on_a_line([0, 10, 20, 30], [visit("A", 1), visit("B", 2), visit("C", 3)], PAIR)
STOOD = AtHand(problem=DAY, routes=(route(0, 1), route(2)))


def told(before, plan):
    return difference(before, plan.problem, Solution(routes=plan.routes, engine="by hand"))


def test_a_visit_moved_to_another_route_changes_both():
    """B's 20 min out and back less on the one, none more on the way to C."""
    what = told(STOOD, with_visit_put(STOOD, 1, 1))
    assert what.drive_s == -20 * MIN
    assert [(b.visits, a.visits) for b, a in what.routes] == [(2, 1), (1, 2)]
    assert [(b.returns_s, a.returns_s) for b, a in what.routes] == [
        (9 * HOUR + 40 * MIN, 8 * HOUR + 50 * MIN),
        (9 * HOUR + 30 * MIN, 10 * HOUR),
    ]
    assert said(what) == (
        "Driving: 20 min less.",
        "The same visits wait.",
        "Technician 1 would be back at 08:50 in place of 09:40.",
        "Technician 2 would be back at 10:00 in place of 09:30.",
    )


def test_a_visit_that_waited_is_put_where_the_cheapest_one_falls_out():
    crew = [technician(1, shift_to_s=9 * HOUR + 10 * MIN)]
    day = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2, worth_s=HOUR)], crew)
    before = AtHand(problem=day, routes=(route(1),))
    what = told(before, with_visit_put(before, 0, 0))
    assert (what.made, what.waits) == (("Site A",), ("Site B",))
    assert what.drive_s == -20 * MIN
    assert what.cost_s == -20 * MIN - 2 * HOUR


def test_whoever_may_not_make_a_visit_is_not_given_it():
    day = on_a_line([0, 10], [visit("A", 1, ruled_out=frozenset({0}))])
    with pytest.raises(RangeError, match="Technician 1 may not make the visit of Site A"):
        with_visit_put(AtHand(problem=day, routes=((),)), 0, 0)


def test_somebody_more_can_do_what_the_model_can_and_is_ruled_out_alike():
    due = visit("A", 1, ruled_out=frozenset({1}), prices_s=(5, 7))
    stood = AtHand(problem=on_a_line([0, 10], [due], PAIR), routes=((), ()))
    more = with_another_technician(stood, 1).problem
    assert more.technicians[2].name == "Somebody like Technician 2"
    assert more.visits[0].ruled_out == {1, 2}
    assert more.visits[0].prices_s == (5, 7, 7)
    assert with_another_technician(stood, 0, "Fifth").problem.technicians[2].name == "Fifth"


def test_hours_end_later_or_sooner_and_never_before_they_begin():
    assert with_more_hours(STOOD, 0, 2 * HOUR).problem.technicians[0].shift_to_s == 19 * HOUR
    assert with_more_hours(STOOD, 0, -20 * HOUR).problem.technicians[0].shift_to_s == 8 * HOUR


def test_who_leaves_for_the_first_time_and_who_stays_in_is_said():
    before = AtHand(problem=DAY, routes=(route(0, 1, 2), ()))
    lines = said(told(before, AtHand(problem=DAY, routes=((), route(0, 1, 2)))))
    assert lines[-2:] == ("Technician 1 would stay in.", "Technician 2 would be back at 10:30.")


def test_drives_whose_road_is_closed_by_now_are_left_out_of_the_sums_and_said():
    """The drive from A to B has gone; what is left is 10 min out to A and 20 min home from B."""
    travel_s, travel_m = DAY.travel_s.copy(), DAY.travel_m.copy()
    travel_s[1, 2] = travel_m[1, 2] = UNREACHABLE_S
    closed = replace(DAY, travel_s=travel_s, travel_m=travel_m)
    before = AtHand(problem=closed, routes=(route(0, 1), route(2)))
    what = told(before, AtHand(problem=closed, routes=(route(0), route(2))))
    first = what.routes[0][0]
    assert (first.drive_s, first.cut_off) == (30 * MIN, 1)
    assert what.drive_s == -10 * MIN
    assert said(what)[1].startswith("Roads were closed since the plan in force was made: 1 of its")
