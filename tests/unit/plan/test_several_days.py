"""Several days as one problem: shifted clocks, each day's own limits, what waiting costs."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from registry.plan.check import breaches, check
from registry.plan.cost import cost_of
from registry.plan.one_clock import OneDay, waiting_prices
from registry.plan.problem import (
    ANYWHERE,
    DAY_S,
    Call,
    DayFill,
    LeftOut,
    Link,
    Lunch,
    Solution,
)
from registry.plan.several_days import solution_of_day, together, without_made
from registry.plan.words import WhyWord
from registry.records.places import LonLat
from registry.records.visits import DueVisit
from registry.solvers.combined import CombinedSolver
from registry.solvers.linked import LinkedSolver
from tests.days import HOUR, LUNCH, MIN, best_cost, on_a_line, random_day, route, technician, visit

MONDAY = date(2026, 6, 15)
MORNING = ((8 * HOUR, 10 * HOUR),)


def due(name, worth_s, obligations=(1,), **fields):
    """A due visit, of which only worth and obligations matter here."""
    known = {
        "site_id": 0,
        "site_key": name,
        "lon_lat": None,
        "obligation_ids": tuple(obligations),
        "tasks": ("inspection",),
        "service_min": 30.0,
        "due_on": MONDAY,
        "days_overdue": 0,
        "worth_s": worth_s,
    }
    return DueVisit(**(known | fields))


def day(problem, ahead=0, **worth):
    """A day so many days after Monday; worth of its visits if not as the problem says."""
    known = {one.id: due(one.id, one.worth_s) for one in problem.visits}
    known |= {
        name: one if isinstance(one, DueVisit) else due(name, one) for name, one in worth.items()
    }
    return OneDay(
        on_date=MONDAY + timedelta(days=ahead),
        problem=problem,
        places=[LonLat(-140 + i / 100, 45.0) for i in range(len(problem.travel_s))],
        due=known,
    )


def solved(several, rounds=300):
    solution = LinkedSolver(CombinedSolver()).solve(several.problem, rounds=rounds, seed=1)
    check(several.problem, solution.routes, appointed=solution.appointed, required_may_wait=True)
    for number in range(len(several.days)):
        alone, own = solution_of_day(several, solution, number)
        check(alone, own.routes, appointed=own.appointed, required_may_wait=True)
    return solution


@pytest.mark.parametrize("seed", range(4))
def test_one_day_is_the_problem_that_it_always_was(seed):
    problem = random_day(seed, visits=4, crew=2)
    several = together([day(problem)])
    engine = CombinedSolver()
    alone = engine.solve(problem, rounds=200, seed=3)
    assert engine.solve(several.problem, rounds=200, seed=3).routes == alone.routes
    assert cost_of(several.problem, alone.routes) == cost_of(problem, alone.routes)
    assert best_cost(several.problem) == best_cost(problem)
    own, answer = solution_of_day(several, alone, 0)
    assert answer.routes == alone.routes
    assert own.visits == problem.visits


def test_moments_and_shifts_run_on_over_a_weekend():
    problem = on_a_line([0, 10], [visit("A", 1, windows=MORNING)], [technician(lunch=LUNCH)])
    several = together([day(problem), day(problem, ahead=3)])
    friday, monday = several.problem.technicians
    assert several.midnights_s == (0, 3 * DAY_S)
    assert monday.shift_from_s == friday.shift_from_s + 3 * DAY_S
    assert monday.lunch == Lunch(
        from_s=LUNCH.from_s + 3 * DAY_S, to_s=LUNCH.to_s + 3 * DAY_S, duration_s=LUNCH.duration_s
    )
    opens, closes = MORNING[0]
    assert several.problem.visits[0].windows == (
        (opens, closes),
        (opens + 3 * DAY_S, closes + 3 * DAY_S),
    )


def test_a_day_on_which_a_site_is_closed_has_no_window_and_no_technician_for_it():
    shut = LeftOut(id="A", why_word=WhyWord.CLOSED, why="Closed.")
    opened = on_a_line([0, 10], [visit("A", 1)])
    closed = replace(opened, visits=(), left_out=(shut,))
    several = together([day(closed, A=5000), day(opened, ahead=1, A=5060)])
    assert several.problem.visits[0].windows == ((DAY_S, 2 * DAY_S),)
    assert several.problem.visits[0].ruled_out == {0}
    made = several.made_on(solved(several))
    assert made == {"A": [1]}
    assert without_made(closed, 0, made).left_out == ()


def test_a_licence_counts_on_each_date_by_itself():
    licence = "maintenance licence"
    needs = visit("A", 1, skills=frozenset({licence}))
    lapsed = on_a_line([0, 10], [needs], [technician()])
    valid = on_a_line([0, 10], [needs], [technician(skills=frozenset({licence}))])
    several = together([day(lapsed), day(valid, ahead=1), day(lapsed, ahead=2)])
    assert several.problem.visits[0].ruled_out == {0, 2}
    assert several.made_on(solved(several)) == {"A": [1]}


def test_a_visit_held_on_a_date_is_for_that_date_only_and_for_its_technician():
    crew = [technician(1), technician(2)]
    free = on_a_line([0, 10, 12], [visit("A", 1), visit("B", 2)], crew)
    held = replace(free, visits=(replace(free.visits[0], required=True, held_by=1), free.visits[1]))
    several = together([day(free), day(held, ahead=1)])
    a = next(one for one in several.problem.visits if one.id == "A")
    assert a.windows == ((DAY_S, 2 * DAY_S),)
    assert a.ruled_out == {0, 1, 2}
    assert a.required
    assert several.made_on(solved(several))["A"] == [1]


def test_a_site_held_on_two_dates_is_visited_on_both():
    held = on_a_line([0, 10], [visit("A", 1, required=True)])
    several = together([day(held), day(held, ahead=1)])
    assert several.made_on(solved(several)) == {"A": [0, 1]}


def test_waiting_costs_by_how_much_the_worth_grows_and_weekends_count():
    problem = on_a_line([0, 10], [visit("A", 1, worth_s=1500)])
    several = together(
        [day(problem, A=1500), day(problem, ahead=1, A=1560), day(problem, ahead=4, A=1740)]
    )
    only = several.problem.visits[0]
    assert only.prices_s == (0, 60, 240)
    assert only.worth_s == 240 + 1740


def test_the_last_day_weighs_a_visit_as_if_it_were_ordered_alone():
    problem = on_a_line([0, 10], [visit("A", 1, worth_s=1500)])
    several = together([day(problem, A=1500), day(problem, ahead=1, A=1560)])
    only = several.problem.visits[0]
    assert only.worth_s - only.prices_s[-1] == 1560


def test_work_that_joins_later_is_made_from_its_day_on_and_makes_no_hurry():
    first = on_a_line([0, 10], [visit("A", 1, worth_s=1500)])
    more = on_a_line([0, 10], [visit("A", 1, worth_s=2100, service_s=HOUR, water_gal=50.0)])
    several = together(
        [
            day(first, A=due("A", 1500, [1])),
            day(more, ahead=1, A=due("A", 2100, [1, 2])),
            day(more, ahead=2, A=due("A", 2160, [1, 2])),
        ]
    )
    only = several.problem.visits[0]
    assert only.service_s == HOUR
    assert only.water_gal == 50.0
    assert only.prices_s == (0, 0, 60)


def test_what_is_not_due_before_the_second_day_is_made_no_sooner():
    nothing = on_a_line([0, 10, 20], [visit("B", 2)])
    later = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2)])
    several = together([day(nothing), day(later, ahead=1)])
    a = next(one for one in several.problem.visits if one.id == "A")
    assert a.windows == ((DAY_S, 2 * DAY_S),)
    assert not a.prices_s


def test_a_second_person_comes_on_the_same_day_at_the_same_moment():
    crew = [technician(1), technician(2)]
    pair = [visit("A", 1, people=1), visit("A/second", 1, worth_s=0)]
    problem = replace(on_a_line([0, 10], pair, crew), links=(Link(first=0, then=1, together=True),))
    several = together([day(problem), day(problem, ahead=1)])
    assert several.problem.links == (Link(first=0, then=1, together=True),)
    solution = solved(several)
    assert several.made_on(solution)["A"] == several.made_on(solution)["A/second"]


def test_visits_in_a_fixed_order_stay_on_their_date():
    plain = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2)])
    ordered = replace(plain, links=(Link(first=1, then=0),))
    several = together([day(plain), day(ordered, ahead=1)])
    assert [one.windows for one in several.problem.visits] == [((DAY_S, 2 * DAY_S),)] * 2
    assert several.made_on(solved(several)) == {"A": [1], "B": [1]}


def test_a_slot_is_kept_free_on_every_day():
    slot = visit("free", ANYWHERE, required=True, worth_s=0, windows=((0, 11 * HOUR),))
    problem = on_a_line([0, 10], [visit("A", 1), slot])
    several = together([day(problem), day(problem, ahead=1)])
    assert several.made_on(solved(several))["free"] == [0, 1]


def test_a_fill_point_is_open_in_its_hours_of_each_day():
    shut = DayFill(id="1", name="Hydrant", place=1, service_s=MIN, window=(9 * HOUR, 10 * HOUR))
    always = replace(shut, id="2", window=None)
    problem = on_a_line([0, 10, 20], [visit("A", 2)], fills=[shut, always])
    several = together([day(problem), day(problem, ahead=1)])
    assert [(fill.id, fill.window) for fill in several.problem.fills] == [
        ("1", (9 * HOUR, 10 * HOUR)),
        ("2", None),
        ("1", (DAY_S + 9 * HOUR, DAY_S + 10 * HOUR)),
    ]
    routes = ((), (Call(2, is_fill=True), Call(0)))
    assert not breaches(several.problem, routes)
    _, own = solution_of_day(several, Solution(routes=routes, engine="by hand"), 1)
    assert own.routes == (route("f0", 0),)


def test_a_closed_road_on_one_day_is_a_table_of_that_day_only():
    opened = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2)])
    slow = opened.travel_s.copy()
    slow[0, 2] = slow[2, 0] = 90 * MIN
    closed = replace(opened, travel_s=slow)
    several = together([day(opened), day(closed, ahead=1), day(opened, ahead=2)])
    assert [who.table for who in several.problem.technicians] == [0, 1, 0]
    assert np.array_equal(several.problem.travel_of(1).travel_s, slow)


def test_days_with_other_places_share_one_table_where_the_roads_are_the_same():
    whole = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2)])
    less = on_a_line([0, 20], [visit("B", 1)])
    first = day(whole)
    second = day(less, ahead=1)._replace(places=[first.places[0], first.places[2]])
    several = together([second._replace(on_date=MONDAY), first._replace(on_date=second.on_date)])
    assert not several.problem.more_tables
    b = next(one for one in several.problem.visits if one.id == "B")
    start = several.problem.technicians[0].start_place
    assert several.problem.travel_s[start, b.place] == 20 * MIN


def test_two_days_are_as_cheap_as_the_best_of_all_ways_to_share_their_visits():
    """Against the best plan by trying every one (tests/days.py)."""
    for seed in range(2):
        problem = random_day(seed, visits=4, crew=1)
        several = together([day(problem), day(problem, ahead=1)])
        solution = solved(several, rounds=3000)
        assert cost_of(several.problem, solution.routes) == best_cost(several.problem)


def test_a_far_corner_is_driven_to_once_when_days_are_ordered_together():
    """Two lonely sites 60 min away, one of them due only tomorrow: both are made tomorrow."""
    near = visit("near", 1, worth_s=4 * HOUR)
    lonely = visit("lonely", 2, worth_s=4 * HOUR)
    later = visit("later", 3, worth_s=4 * HOUR)
    line = [0, 5, 60, 61]
    several = together(
        [day(on_a_line(line, [near, lonely])), day(on_a_line(line, [near, lonely, later]), ahead=1)]
    )
    made = several.made_on(solved(several))
    assert made["lonely"] == made["later"] == [1]


def test_prices_of_a_visit_that_is_held_do_not_grow():
    problem = on_a_line([0, 10], [visit("A", 1, required=True, worth_s=900)])
    days = [day(problem, A=900), day(problem, ahead=1, A=960)]
    assert waiting_prices(days, {0: problem.visits[0]}) == ({0: 0}, 900)
