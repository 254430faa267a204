"""The day's problem says what the records say."""

from datetime import date

import numpy as np
import pytest

from registry.plan.from_records import day_places, day_problem, is_valid, whole, windows_s
from registry.plan.problem import UNREACHABLE_S
from registry.plan.words import WhyWord
from registry.records.crew import FillPoint, Licence, Technician, Truck
from registry.records.places import LonLat
from registry.records.visits import DueVisit, Hold

MONDAY = date(2026, 6, 15)
YARD = LonLat(-93.0, 44.0)
HOME = LonLat(-93.1, 44.1)


def due(site_id: int = 1, **fields) -> DueVisit:
    known = {
        "site_id": site_id,
        "site_key": f"S-{site_id}",
        "lon_lat": LonLat(-93.0 - site_id / 100, 44.2),
        "tasks": ("inspection",),
        "service_min": 45.0,
        "due_on": date(2026, 6, 1),
        "days_overdue": 14,
        "worth_s": 2760.0,
    }
    return DueVisit(**(known | fields))


def worker(number: int = 1, **fields) -> Technician:
    known = {"id": number, "name": f"Worker {number}", "initials": f"W{number}"}
    return Technician(**(known | fields))


def problem_of(visits, crew, fills=(), yard=YARD, on_date=MONDAY):
    places = day_places(visits, crew, fills, yard=yard, on_date=on_date)
    travel = np.full((len(places), len(places)), 600.2)
    np.fill_diagonal(travel, 0.0)
    return day_problem(visits, crew, fills, travel, travel * 15, on_date, places=places, yard=yard)


def test_places_stand_once_each_and_only_for_those_on_duty():
    fill = FillPoint(name="Hydrant", lon_lat=LonLat(-93.3, 44.0))
    crew = [worker(1), worker(2, home=HOME), worker(3, home=LonLat(0, 0), active=False)]
    visits = [due(1), due(2, lon_lat=YARD), due(3, lon_lat=None)]
    places = day_places(visits, crew, [fill], yard=YARD, on_date=MONDAY)
    assert places == (YARD, HOME, fill.lon_lat, visits[0].lon_lat)


def test_minutes_become_seconds_and_travel_is_rounded_up():
    problem = problem_of([due(windows=((540, 600),), water_bring_gal=12.5)], [worker()])
    visit = problem.visits[0]
    assert visit.service_s == 45 * 60
    assert visit.windows == ((9 * 3600, 10 * 3600),)
    assert visit.water_gal == 12.5
    assert visit.worth_s == 2760
    assert problem.travel_s[0, 1] == 601
    who = problem.technicians[0]
    assert (who.shift_from_s, who.shift_to_s) == (8 * 3600, 17 * 3600)
    assert who.lunch is not None
    assert who.lunch.duration_s == 1800


def test_no_road_becomes_unreachable():
    answer = whole(np.array([[0.0, np.nan], [3.0000000001, 0.0]]))
    assert answer.tolist() == [[0, UNREACHABLE_S], [3, 0]]


def test_windows_that_touch_are_joined():
    assert windows_s([(600, 720), (480, 540), (540, 580)]) == ((28800, 34800), (36000, 43200))


@pytest.mark.parametrize(
    ("fields", "on_duty"),
    [
        ({}, True),
        ({"workdays": (1, 2)}, False),
        ({"days_off": (MONDAY,)}, False),
        ({"active": False}, False),
    ],
)
def test_who_is_off_is_left_out_and_said(fields, on_duty):
    problem = problem_of([due()], [worker(1, **fields), worker(2)])
    names = [who.name for who in problem.technicians]
    assert ("Worker 1" in names) is on_duty
    assert bool(problem.notes) is not on_duty


@pytest.mark.parametrize(
    ("licence", "valid"),
    [
        (Licence(kind="pump-out"), True),
        (Licence(kind="pump-out", valid_from=MONDAY, valid_to=MONDAY), True),
        (Licence(kind="pump-out", valid_to=date(2026, 6, 14)), False),
        (Licence(kind="pump-out", valid_from=date(2026, 6, 16)), False),
    ],
)
def test_a_licence_counts_from_its_first_to_its_last_day(licence, valid):
    assert is_valid(licence, MONDAY) is valid
    problem = problem_of([due(licences=("pump-out",))], [worker(licences=(licence,))])
    assert problem.may_make(0, 0) is valid
    assert bool(problem.technicians[0].lapsed) is not valid


def test_a_licence_of_one_jurisdiction_does_not_count_in_another():
    visits = [
        due(1, licences=("installer",), jurisdiction="Elder"),
        due(2, licences=("installer",), jurisdiction="Birch"),
    ]
    here = worker(licences=(Licence(kind="installer", jurisdiction="Elder"),))
    anywhere = worker(2, licences=(Licence(kind="installer"),))
    problem = problem_of(visits, [here, anywhere])
    assert [problem.may_make(0, i) for i in (0, 1)] == [True, False]
    assert [problem.may_make(1, i) for i in (0, 1)] == [True, True]


def test_a_hold_makes_a_visit_required_and_ties_it_to_its_technician():
    hold = Hold(site_id=1, on_date=MONDAY, technician_id=2)
    anyone = Hold(site_id=2, on_date=MONDAY)
    problem = problem_of([due(1, hold=hold), due(2, hold=anyone), due(3)], [worker(1), worker(2)])
    assert [one.required for one in problem.visits] == [True, True, False]
    assert [one.held_by for one in problem.visits] == [1, None, None]


@pytest.mark.parametrize(
    ("visit", "crew", "word", "says"),
    [
        (due(lon_lat=None), [worker()], WhyWord.TO_BE_LOCATED, "no position"),
        (due(windows=()), [worker()], WhyWord.CLOSED, "closed on 2026-06-15"),
        (due(windows=(), closed_why="Locked in June."), [worker()], WhyWord.CLOSED, "Locked"),
        (due(people=2), [worker()], WhyWord.NEEDS_TWO, "crew of two"),
        (due(), [worker(active=False)], WhyWord.NOBODY, "Nobody is on duty"),
        (
            due(hold=Hold(site_id=1, on_date=MONDAY, technician_id=2)),
            [worker(1), worker(2, days_off=(MONDAY,))],
            WhyWord.HELD,
            "Worker 2, who is not on duty",
        ),
    ],
)
def test_what_no_solver_can_plan_is_left_out_with_its_reason(visit, crew, word, says):
    problem = problem_of([visit], crew)
    assert problem.visits == ()
    assert [one.why_word for one in problem.left_out] == [word]
    assert says in problem.left_out[0].why


def test_a_crew_of_two_may_make_a_two_person_visit():
    problem = problem_of([due(people=2)], [worker(1), worker(2, skills=("two-person crew",))])
    assert [problem.may_make(k, 0) for k in (0, 1)] == [False, True]


def test_a_truck_of_unknown_size_is_not_limited_and_that_is_said():
    visits = [due(water_bring_gal=900.0)]
    problem = problem_of(visits, [worker(1), worker(2, truck=Truck(name="Two", water_gal=300.0))])
    assert [problem.may_make(k, 0) for k in (0, 1)] == [True, False]
    assert any("water aboard is not known for Worker 1" in note for note in problem.notes)


def test_a_fill_point_keeps_its_hours():
    fill = FillPoint(id=4, name="Hydrant", lon_lat=HOME, minutes=10, opens_min=540)
    problem = problem_of([due()], [worker()], [fill])
    assert problem.fills[0].window == (9 * 3600, 24 * 3600)
    assert problem.fills[0].service_s == 600


def test_a_technician_without_a_place_to_start_from_is_told():
    problem = problem_of([due()], [worker(1), worker(2, home=HOME)], yard=None)
    assert [who.name for who in problem.technicians] == ["Worker 2"]
    assert "neither a home nor a yard" in problem.notes[0]
