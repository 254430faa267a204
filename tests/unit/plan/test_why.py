"""Why a visit waits: the word is stable, the sentence names who, what and how much."""

from datetime import date

import pytest

from registry.plan.problem import UNREACHABLE_S, LeftOut
from registry.plan.shortfall import NEVER_S, short_s
from registry.plan.ways import best_way
from registry.plan.why import why_not, why_waiting
from registry.plan.words import WhyWord
from tests.days import HOUR, LUNCH, MIN, on_a_line, route, technician, visit

PUMP = frozenset({"pump licence"})
ROAD = [0, 10, 20]
LONG = 8 * HOUR + 20 * MIN


def reason(problem, routes, number=0) -> LeftOut:
    return why_not(problem, routes, number)


def test_a_licence_that_nobody_has_is_named_with_the_day_it_ended():
    crew = [technician(lapsed=(("pump licence", date(2026, 5, 31)),))]
    out = reason(on_a_line(ROAD, [visit("A", 1, skills=PUMP)], crew), [()])
    assert out.why_word == WhyWord.LICENCE
    assert "nobody on duty has that" in out.why
    assert "Technician 1’s pump licence ended on 2026-05-31" in out.why


def test_a_skill_that_nobody_has_is_named():
    out = reason(on_a_line(ROAD, [visit("A", 1, skills=frozenset({"electrical"}))]), [()])
    assert (out.why_word, out.why) == (
        WhyWord.SKILL,
        "Needs electrical: nobody on duty has that.",
    )


def test_a_tank_that_is_too_small_is_named():
    problem = on_a_line(ROAD, [visit("A", 1, water_gal=300.0)], [technician(tank_gal=250.0)])
    out = reason(problem, [()])
    assert out.why_word == WhyWord.WATER
    assert "300 gal" in out.why
    assert "250 gal" in out.why


def test_a_place_that_no_road_reaches_is_named():
    problem = on_a_line(ROAD, [visit("A", 1)])
    problem.travel_s[0, 1] = UNREACHABLE_S
    out = reason(problem, [()])
    assert out.why_word == WhyWord.UNREACHABLE
    assert "No road leads there from where Technician 1 start" in out.why


def test_hours_that_no_shift_meets_are_told_with_the_minutes_missing():
    problem = on_a_line(ROAD, [visit("A", 1, windows=((7 * HOUR, 8 * HOUR),))])
    out = reason(problem, [()])
    assert out.why_word == WhyWord.HOURS
    assert "07:00–08:00" in out.why
    assert "10 min short" in out.why


def test_a_route_without_room_is_told_with_the_minutes_missing_and_what_room_would_cost():
    """8:00 to 17:00; B takes 8 h 20 min and 40 min of driving, so A's half hour is all missing."""
    problem = on_a_line(ROAD, [visit("A", 1), visit("B", 2, service_s=LONG)])
    out = reason(problem, [route(1)])
    assert out.why_word == WhyWord.NO_ROOM
    assert "Only Technician 1 can go, and that route has no room: it is 30 min short." in out.why
    assert "instead of Site B, it would cost the day nothing." in out.why


def test_an_overdue_visit_that_counts_for_more_is_told_by_its_days_not_by_hours_of_driving():
    late = visit("B", 2, service_s=LONG, worth_s=20 * HOUR, days_overdue=46)
    out = reason(on_a_line(ROAD, [visit("A", 1), late]), [route(1)])
    assert out.why_word == WhyWord.NO_ROOM
    assert "Site B would wait, which counts for more: 46 days overdue." in out.why
    assert "cost the day" not in out.why


def test_the_only_one_with_the_licence_is_named():
    crew = [technician(1, skills=PUMP), technician(2)]
    visits = [visit("A", 1, skills=PUMP), visit("B", 2, service_s=LONG)]
    out = reason(on_a_line(ROAD, visits, crew), [route(1), ()])
    assert out.why_word == WhyWord.NO_ROOM
    assert out.why.startswith("Needs pump licence, which only Technician 1 has.")


def test_what_everybody_has_is_not_told():
    crew = [technician(1, skills=PUMP | {"panel"}), technician(2, skills=PUMP)]
    visits = [visit("A", 1, skills=PUMP | {"panel"}), visit("B", 2, service_s=LONG)]
    out = reason(on_a_line(ROAD, visits, crew), [route(1), ()])
    assert out.why.startswith("Needs panel, which only Technician 1 has.")


def test_what_is_not_worth_the_drive_is_told_with_both_prices():
    problem = on_a_line([0, 10, 100], [visit("A", 2, worth_s=60 * MIN), visit("B", 1)])
    out = reason(problem, [route(1)])
    assert out.why_word == WhyWord.OTHERS
    assert "180 min" in out.why or "3 h 00 min" in out.why
    assert "60 min" in out.why


def test_a_hold_that_cannot_be_kept_says_what_is_lacking():
    problem = on_a_line(ROAD, [visit("A", 1, skills=PUMP, held_by=0, required=True)])
    out = reason(problem, [()])
    assert (out.why_word, out.why) == (
        WhyWord.HELD,
        "Held to Technician 1, who lacks pump licence.",
    )


def test_every_waiting_visit_gets_a_reason_and_no_routed_one_does():
    problem = on_a_line(ROAD, [visit("A", 1), visit("B", 2, service_s=LONG)])
    assert [one.id for one in why_waiting(problem, [route(1)])] == ["A"]
    assert why_waiting(problem, [route(0)])[0].id == "B"


@pytest.mark.parametrize(
    ("shift_to_min", "missing_min"), [(13 * 60 + 50, 0), (13 * 60 + 40, 10), (12 * 60 + 40, 30)]
)
def test_the_shortfall_counts_lunch(shift_to_min, missing_min):
    """Lunch before B, which waits for 11:00, ends the day at 13:50; after B (left at 12:20) it
    begins 20 min too late, and the day ends at 12:50 then."""
    visits = [visit(name, place, service_s=2 * HOUR) for name, place in (("A", 1), ("B", 2))]
    crew = [technician(shift_to_s=shift_to_min * MIN, lunch=LUNCH)]
    assert short_s(on_a_line(ROAD, visits, crew), 0, route(0, 1)) == missing_min * MIN


def test_water_is_never_made_good_by_time_but_by_a_fill_stop():
    from registry.plan.problem import DayFill

    visits = [visit(name, place, water_gal=80.0) for name, place in (("A", 1), ("B", 2))]
    crew = [technician(tank_gal=100.0)]
    dry = on_a_line(ROAD, visits, crew)
    assert short_s(dry, 0, route(0, 1)) == NEVER_S
    fill = DayFill(id="0", name="Hydrant", place=1, service_s=10 * MIN)
    way = best_way(on_a_line(ROAD, visits, crew, [fill]), 0, route(0), 1)
    assert way.fits
    assert way.added_s == 20 * MIN
    assert any(call.is_fill for call in way.calls)
