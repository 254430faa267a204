"""What stands in each technician's way, and what fitting a visit costs; worked by hand."""

from dataclasses import replace
from datetime import date

import pytest

from registry.plan.problem import UNREACHABLE_S, DayFill, Link, Travel
from registry.plan.why import why_not
from registry.plan.why_able import lack
from registry.plan.why_each import why_each
from registry.plan.why_there import latest_start_s, why_there
from registry.plan.words import WhyWord
from tests.days import (
    HOUR,
    MIN,
    named_days,
    on_a_line,
    random_day,
    random_full_day,
    route,
    technician,
    visit,
)

PUMP = frozenset({"pump licence"})
ROAD = [0, 10, 20]


def test_each_technician_is_told_what_is_lacking():
    crew = [
        technician(1, lapsed=(("pump licence", date(2026, 5, 31)),)),
        technician(2, skills=PUMP),
        technician(3, skills=PUMP),
        technician(4, skills=PUMP, tank_gal=50.0),
        technician(5, skills=PUMP, room_gal=500.0),
        technician(6, skills=PUMP, people=2),
    ]
    due = visit("A", 1, skills=PUMP, ruled_out=frozenset({1}), water_gal=80.0, septage_gal=900.0)
    day = on_a_line(ROAD, [due], crew)
    said = [lack(day, k, 0) for k in range(6)]
    assert said == [
        (WhyWord.LICENCE, "lacks pump licence (pump licence ended on 2026-05-31)"),
        (WhyWord.RULED_OUT, "is ruled out for it"),
        None,
        (WhyWord.WATER, "has too small a tank for the water it takes"),
        (WhyWord.SEPTAGE, "has too little room for the septage"),
        None,
    ]
    two = on_a_line(ROAD, [replace(due, people=2)], crew)
    assert lack(two, 2, 0) == (WhyWord.NEEDS_TWO, "comes alone where two are needed")
    held = on_a_line(ROAD, [replace(due, held_by=2)], crew)
    assert lack(held, 5, 0) == (WhyWord.HELD, "may not: it is held to Technician 3")


@pytest.mark.parametrize("seed", range(40))
def test_something_is_lacking_exactly_where_a_technician_may_not_make_a_visit(seed):
    for day in (random_day(seed), random_full_day(seed)):
        for k in range(len(day.technicians)):
            for i in range(len(day.visits)):
                assert (lack(day, k, i) is None) == day.may_make(k, i)


def test_the_limit_of_the_only_one_with_the_licence_names_hour_and_minutes():
    """B is worked at from 8:20 to 14:40; A, 10 min away, is reached at 14:50 and closed at 14:15.

    A first: at A 8:10 to 8:40, at B 8:50 to 15:10, back 15:30: B closes at 8:30, 20 min before.
    """
    visits = [
        visit("A", 1, skills=PUMP, windows=((8 * HOUR, 14 * HOUR + 15 * MIN),)),
        visit("B", 2, service_s=6 * HOUR + 20 * MIN, windows=((8 * HOUR, 8 * HOUR + 30 * MIN),)),
    ]
    day = on_a_line(ROAD, visits, [technician(1, skills=PUMP), technician(2)])
    first, second = why_each(day, (route(1), ()), 0)
    assert first.limit == "Technician 1’s route has no room before 14:15: it is 20 min short."
    assert first.room is not None
    assert first.room.out == (1,)
    # out goes B, 40 min of driving and 3 h of waiting; in comes A, 20 min of driving, 3 h less
    assert (first.room.added_s, first.room.price_s) == (-20 * MIN, -20 * MIN)
    assert first.cost == (
        "To fit it in, Site B would fall out; driving 20 min less, the day’s cost 20 min less."
    )
    assert (second.limit, second.room) == ("Technician 2 lacks pump licence.", None)


def test_an_overdue_visit_is_told_by_its_days_for_each_technician_not_by_hours():
    """8:00 to 17:00; B takes 8 h 20 min and 40 min of driving, so it would make room for A."""
    late = visit("B", 2, service_s=500 * MIN, worth_s=20 * HOUR, days_overdue=46)
    (only,) = why_each(on_a_line(ROAD, [visit("A", 1), late]), (route(1),), 0)
    assert only.cost == (
        "To fit it in, Site B would fall out, which counts for more: 46 days overdue; "
        "driving 20 min less."
    )
    alone = on_a_line([0, 10, 100], [visit("A", 2, worth_s=20 * HOUR, days_overdue=1)])
    (room,) = why_each(alone, ((),), 0)
    assert room.cost == "It would add 3 h 20 min of driving, and it is 1 day overdue."


def test_where_there_is_room_the_price_is_told_against_what_waiting_costs():
    day = on_a_line([0, 10, 100], [visit("A", 2, worth_s=60 * MIN), visit("B", 1)])
    (only,) = why_each(day, (route(1),), 0)
    assert only.limit == "There is room on Technician 1’s route."
    assert only.cost == "It would add 3 h 00 min of driving, and waiting costs 60 min."
    assert only.room is not None
    assert only.room.price_s == 120 * MIN


def test_more_than_one_visit_may_have_to_fall_out():
    """8:00 to 10:00 with 40 min of driving leave 80 min; A takes 70, B and C 30 each."""
    visits = [visit("A", 2, service_s=70 * MIN), visit("B", 1), visit("C", 1)]
    day = on_a_line(ROAD, visits, [technician(shift_to_s=10 * HOUR)])
    (only,) = why_each(day, (route(1, 2),), 0)
    assert only.room is not None
    assert sorted(only.room.out) == [1, 2]
    assert only.room.price_s == 20 * MIN + 3 * HOUR


def test_a_visit_that_must_be_made_does_not_fall_out():
    visits = [visit("A", 1), visit("B", 2, service_s=8 * HOUR + 20 * MIN, required=True)]
    (only,) = why_each(on_a_line(ROAD, visits), (route(1),), 0)
    assert (only.room, only.cost) == (None, "No visit that may wait would make room.")


def test_the_driving_limit_is_told_as_driving():
    day = on_a_line(ROAD, [visit("A", 2), visit("B", 1)], [technician(most_drive_s=30 * MIN)])
    out = why_not(day, (route(1),), 0)
    assert out.why_word == WhyWord.DRIVING
    assert "10 min more driving than the 30 min allowed" in out.why
    wide = on_a_line(ROAD, [visit("A", 1), visit("B", 2)], [technician(most_drive_s=45 * MIN)])
    apart = replace(wide, travel_s=wide.travel_s.copy())
    apart.travel_s[1, 2] = apart.travel_s[2, 1] = 30 * MIN
    (only,) = why_each(apart, (route(1),), 0)
    # to A and on to B and home: 10 + 30 + 20 of 45 min
    assert (only.word, only.limit) == (
        WhyWord.DRIVING,
        "Technician 1’s route has no room: it would take 15 min more driving than the 45 min"
        " allowed.",
    )


def test_room_for_septage_is_told_as_such_and_a_disposal_stop_makes_it():
    loads = [visit(name, place, septage_gal=800.0) for name, place in (("A", 1), ("B", 2))]
    day = on_a_line(ROAD, loads, [technician(room_gal=1000.0)])
    (only,) = why_each(day, (route(1),), 0)
    assert only.word == WhyWord.SEPTAGE
    assert "no disposal stop helps" in only.limit
    dump = DayFill(id="0", name="Plant", place=1, service_s=10 * MIN, empties=True)
    (now,) = why_each(replace(day, fills=(dump,)), (route(1),), 0)
    assert now.limit == "There is room on Technician 1’s route."
    heavy = on_a_line(ROAD, [replace(loads[0], septage_gal=1200.0)], [technician(room_gal=1000.0)])
    assert why_not(heavy, ((),), 0).why_word == WhyWord.SEPTAGE


def test_a_road_that_only_the_truck_may_not_take_is_told_apart():
    day = on_a_line(ROAD, [visit("A", 1), visit("B", 2)], [technician(table=1)])
    around = day.travel_s.copy()
    around[0, 1] = around[2, 1] = UNREACHABLE_S
    day = replace(day, more_tables=(Travel(around, day.travel_m),))
    out = why_not(day, (route(1),), 0)
    assert out.why_word == WhyWord.UNREACHABLE
    assert "the truck of Technician 1" in out.why


def test_a_visit_after_another_waits_for_it():
    visits = [visit("A", 1), visit("B", 2)]
    day = replace(on_a_line(ROAD, visits), links=(Link(first=1, then=0),))
    alone = why_not(day, ((),), 0)
    assert (alone.why_word, alone.why) == (
        WhyWord.LINKED,
        "Comes after Site B, which is on no route itself.",
    )
    assert why_each(day, ((),), 0)[0].word == WhyWord.LINKED
    # B is over at 8:50; A may start until 8:30 only
    early = replace(
        day, visits=(replace(visits[0], windows=((0, 8 * HOUR + 30 * MIN),)), visits[1])
    )
    late = why_not(early, (route(1),), 0)
    assert "which is over at 08:50. Work may not start there as late as that." in late.why
    # until 9:00 it fits: 8:50 and 10 min of driving
    ok = replace(day, visits=(replace(visits[0], windows=((0, 9 * HOUR),)), visits[1]))
    assert why_not(ok, (route(1),), 0).why_word == WhyWord.OTHERS


def test_two_technicians_at_once_are_named_as_what_stands_in_the_way():
    pair = [technician(1, shift_to_s=9 * HOUR), technician(2)]
    visits = [visit("A", 1), visit("A2", 1), visit("B", 2)]
    day = replace(on_a_line(ROAD, visits, pair), links=(Link(first=0, then=1, together=True),))
    out = why_not(day, ((), route(2)), 0)
    assert out.why_word == WhyWord.LINKED
    assert out.why.startswith("Made together with Site A2 by two technicians")


def test_a_routed_visit_says_its_slack_and_what_it_would_cost_elsewhere():
    """Out and back over 20 min with two half hours: home at 9:40, 20 min before the shift ends."""
    crew = [technician(1, shift_to_s=10 * HOUR), technician(2), technician(3)]
    visits = [visit("A", 1, ruled_out=frozenset({2})), visit("B", 2)]
    there = why_there(on_a_line(ROAD, visits, crew), (route(0, 1), (), ()), 0)
    assert (there.technician, there.slack_s, there.saves_s) == (0, 20 * MIN, 0)
    assert "up to 20 min later" in there.said
    assert [(one.technician, one.price_s) for one in there.elsewhere] == [(1, 20 * MIN), (2, None)]
    assert there.elsewhere[0].said == "On Technician 2’s route the day would cost 20 min more."
    assert there.elsewhere[1].said == "Technician 3 is ruled out for it."


def test_slack_ends_with_the_window():
    visits = [visit("A", 1, windows=((8 * HOUR, 8 * HOUR + 25 * MIN),)), visit("B", 2)]
    there = why_there(on_a_line(ROAD, visits), (route(0, 1),), 0)
    assert there.slack_s == 15 * MIN
    assert "08:00–08:25, so 15 min are left" in there.said


@pytest.mark.parametrize("seed", range(30))
def test_the_latest_start_holds_and_a_second_later_does_not(seed):
    from registry.plan.shortfall import short_s
    from registry.plan.why_there import _not_before

    day = random_day(seed)
    for i in range(len(day.visits)):
        if not day.may_make(0, i) or short_s(day, 0, route(i)):
            continue
        latest_s = latest_start_s(day, 0, route(i), i)
        assert short_s(_not_before(day, i, latest_s), 0, route(i)) == 0
        later = _not_before(day, i, latest_s + 1)
        assert not later.visits[i].windows or short_s(later, 0, route(i)) > 0


def test_a_reason_is_found_on_every_named_day():
    for one in named_days():
        empty = tuple(() for _ in one.problem.technicians)
        for i in range(len(one.problem.visits)):
            assert why_not(one.problem, empty, i).why
            assert len(why_each(one.problem, empty, i)) == len(empty)
