"""A day told in records: moments with their offset, stops in order, totals, reasons."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from registry.errors import PlanError
from registry.plan.as_json import day_json
from registry.plan.check_day import check_day
from registry.plan.day import day_records, planned_day
from registry.plan.from_records import day_problem
from registry.plan.problem import Call, Solution
from registry.plan.stops import moment
from registry.records.crew import FillPoint, Licence, Truck
from registry.records.day import RoadsUsed
from registry.records.places import LonLat
from registry.records.visits import Hold
from tests.unit.plan.test_from_records import HOME, MONDAY, YARD, due, problem_of, worker

ZONE = "America/Chicago"
ROADS = RoadsUsed(source="a network of tests", closed=("Low Road",))
SITE = LonLat(-93.2, 44.1)
FILL = FillPoint(id=5, name="Hydrant", lon_lat=HOME, minutes=10)


def planned(visits, crew, *routes, fills=(), on_date=MONDAY):
    problem = problem_of(visits, crew, fills, on_date=on_date)
    from registry.plan.from_records import day_places

    places = day_places(visits, crew, fills, yard=YARD, on_date=on_date)
    records = day_records(on_date, ZONE, places, visits, crew, ROADS)
    return planned_day(problem, Solution(routes=routes, engine="by hand"), records, firm_id=3)


def test_stops_carry_local_moments_with_their_offset():
    day = planned([due(windows=((600, 660),))], [worker()], (Call(0),))
    stop = day.routes[0].visits[0]
    assert stop.starts.isoformat() == "2026-06-15T10:00:00-05:00"
    assert stop.window is not None
    assert stop.window[1] - stop.window[0] == timedelta(hours=1)
    assert (stop.drive_s, stop.yard_s) == (601.0, 601.0)
    assert day.routes[0].leaves.isoformat() == "2026-06-15T09:49:59-05:00"
    assert day.routes[0].drive_s == 1202.0


@pytest.mark.parametrize(
    ("on_date", "offset_h"),
    [(date(2026, 3, 7), -6), (date(2026, 3, 8), -5), (date(2026, 11, 1), -6)],
)
def test_nine_is_nine_on_the_days_when_the_clocks_change(on_date, offset_h):
    from zoneinfo import ZoneInfo

    nine = moment(on_date, 9 * 3600, ZoneInfo(ZONE))
    assert (nine.hour, nine.minute) == (9, 0)
    assert nine.utcoffset() == timedelta(hours=offset_h)
    assert nine.astimezone(UTC) == datetime(
        on_date.year, on_date.month, on_date.day, 9 - offset_h, tzinfo=UTC
    )


def told_over(travel_s, places, technician, yard=YARD):
    """One visit by one technician, over a table of seconds between the places."""
    visits = [due(1, lon_lat=SITE)]
    travel = np.array(travel_s, dtype=float)
    problem = day_problem(
        visits, [technician], (), travel, travel * 10, MONDAY, places=places, yard=yard
    )
    records = day_records(MONDAY, ZONE, places, visits, [technician], ROADS, yard)
    return planned_day(problem, Solution(routes=((Call(0),),), engine="by hand"), records).routes[0]


# by hand, in seconds: yard to site 900, home to site 300, yard to home 700; back is 10 longer
FROM_HOME = [[0, 300, 710], [310, 0, 910], [700, 900, 0]]


def test_heights_are_from_the_yard_also_for_who_leaves_from_home():
    route = told_over(FROM_HOME, (HOME, SITE, YARD), worker(home=HOME))
    assert (route.start_yard_s, route.end_yard_s) == (700.0, 700.0)
    assert (route.stops[0].drive_s, route.stops[0].yard_s) == (300.0, 900.0)


def test_who_leaves_from_the_yard_starts_and_ends_at_height_nought():
    route = told_over([[0, 900], [910, 0]], (YARD, SITE), worker())
    assert (route.start_yard_s, route.stops[0].yard_s, route.end_yard_s) == (0.0, 900.0, 0.0)


@pytest.mark.parametrize("yard", [None, YARD])
def test_without_a_yard_or_a_road_from_it_heights_are_from_the_routes_own_start(yard):
    cut_off = [[0, 300, np.nan], [310, 0, np.nan], [np.nan, np.nan, 0]]
    route = told_over(cut_off, (HOME, SITE, YARD), worker(home=HOME), yard)
    assert (route.start_yard_s, route.end_yard_s) == (None, None)
    assert route.stops[0].yard_s == 300.0


def test_a_window_open_all_day_is_none():
    assert planned([due()], [worker()], (Call(0),)).routes[0].visits[0].window is None


def test_lunch_and_fill_stops_stand_between_the_visits():
    visits = [due(n, service_min=90, water_bring_gal=80) for n in (1, 2, 3)]
    crew = [worker(truck=Truck(name="One", water_gal=200.0))]
    calls = (Call(0), Call(1), Call(0, is_fill=True), Call(2))
    day = planned(visits, crew, calls, fills=(FILL,))
    assert [stop.kind for stop in day.routes[0].stops] == [
        "visit",
        "visit",
        "lunch",
        "fill",
        "visit",
    ]
    lunch = day.routes[0].stops[2]
    assert lunch.minutes == 30
    assert lunch.starts.hour == 11
    check_day(day, visits, crew)


def test_what_waits_is_told_with_its_reason():
    visits = [due(1), due(2, lon_lat=None), due(3, windows=())]
    day = planned(visits, [worker()], (Call(0),))
    assert [(one.site, one.why_word) for one in day.waiting] == [
        ("S-2", "to_be_located"),
        ("S-3", "closed"),
    ]
    assert all(one.why.endswith(".") for one in day.waiting)


def test_the_line_follows_what_the_road_engine_answers():
    visits, crew = [due(1)], [worker()]
    problem = problem_of(visits, crew)
    places = (YARD, visits[0].lon_lat)
    records = day_records(MONDAY, ZONE, places, visits, crew, ROADS)
    solution = Solution(routes=((Call(0),),), engine="by hand")
    day = planned_day(problem, solution, records, line_of=lambda _, through, __: tuple(through))
    assert day.routes[0].line == (YARD, visits[0].lon_lat, YARD)


def test_the_json_has_the_keys_that_scripts_rely_on():
    visits = [due(1, windows=((600, 660),)), due(2, lon_lat=None)]
    document = json.loads(json.dumps(day_json(planned(visits, [worker()], (Call(0),)))))
    assert document["date"] == "2026-06-15"
    assert {"technician", "leaves", "returns", "drive_s", "wait_s", "visits"} <= set(
        document["routes"][0]
    )
    assert set(document["routes"][0]["visits"][0]) == {
        "site",
        "arrives",
        "starts",
        "leaves",
        "window",
        "tasks",
        "minutes",
        "walk_min",
        "water_gal",
        "held",
        "sets_off",
        "roads",
    }
    assert {"site", "due_on", "days_overdue", "why", "why_word"} <= set(document["waiting"][0])
    assert document["roads"]["closed"] == ["Low Road"]
    assert (document["bound"], document["gap"]) == (None, None)
    assert datetime.fromisoformat(document["routes"][0]["leaves"]).tzinfo is not None


def good():
    visits = [
        due(1, windows=((540, 660),), licences=("pump-out",), water_bring_gal=50.0),
        due(2, skills=("electrical",)),
    ]
    crew = [
        worker(
            skills=("electrical",),
            licences=(Licence(kind="pump-out", valid_to=MONDAY),),
            truck=Truck(name="One", water_gal=60.0),
        ),
        worker(2),
    ]
    return visits, crew, planned(visits, crew, (Call(0), Call(1)), ())


def changed(day, at=0, **fields):
    route = day.routes[0]
    stops = list(route.stops)
    stops[at] = replace(stops[at], **fields)
    return replace(day, routes=(replace(route, stops=tuple(stops)),))


def test_a_good_day_passes_the_last_look():
    visits, crew, day = good()
    check_day(day, visits, crew)


def test_a_slip_between_the_records_and_the_day_is_caught():
    visits, crew, day = good()
    first = day.routes[0].stops[0]
    hour = timedelta(hours=1)
    broken = [
        (changed(day, starts=first.starts - hour, arrives=first.arrives - hour), "outside its"),
        (changed(day, leaves=first.starts + timedelta(minutes=5)), "cut short"),
        (changed(day, at=1, drive_s=20_000.0), "no time for the drive"),
        (replace(day, waiting=day.waiting, routes=()), "neither on a route nor waiting"),
        (changed(day, at=1, site_id=1, site="S-1"), "told twice"),
        (changed(day, at=1, site_id=9), "not due"),
        (replace(day, on_date=date(2026, 6, 16)), "pump-out licence"),
        (replace(day, on_date=date(2026, 6, 20)), "is off"),
    ]
    for bad, says in broken:
        with pytest.raises(PlanError, match=says):
            check_day(bad, visits, crew)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"skills": ()}, "electrical"),
        ({"truck": Truck(name="Small", water_gal=40.0)}, "water short"),
        ({"shift_to_min": 600}, "beyond the shift"),
        ({"lunch_to_min": 600, "lunch_from_min": 590}, "has no lunch"),
    ],
)
def test_a_technician_who_does_not_match_the_day_is_caught(fields, says):
    visits, crew, day = good()
    with pytest.raises(PlanError, match=says):
        check_day(day, visits, [replace(crew[0], **fields), crew[1]])


def test_a_hold_to_another_technician_is_caught():
    visits, crew, day = good()
    held = replace(visits[1], hold=Hold(site_id=2, on_date=MONDAY, technician_id=2))
    with pytest.raises(PlanError, match="held to another"):
        check_day(day, [visits[0], held], crew)
