"""Ordering several working days together, on both stores."""

import json
from datetime import date

import pytest
from click.testing import CliRunner

from registry.cli.plan import command
from registry.config import settings
from registry.errors import PlanError
from registry.plan.words import WhyWord
from registry.records.crew import Technician
from registry.services.compare_days import compare_days
from registry.services.plan_day import DayOrder, Search, plan_day
from registry.services.plan_days import plan_days, working_days
from registry.services.recompute_due import recompute_due
from registry.store import Store, days
from registry.store.tables import FirmRow, HoldRow, LicenceRow, TechnicianRow
from registry.wiring import Parts
from tests.store.due_rows import LAT, LON, add, county, house, visit

MONDAY, TUESDAY, THURSDAY = date(2026, 6, 15), date(2026, 6, 16), date(2026, 6, 18)
HOUSES = range(1, 7)


@pytest.fixture
def here(store: Store) -> Store:
    """Six holding tanks to inspect, one technician with little time on Mondays to Thursdays."""
    with store.session() as session:
        county(session)
        session.get_one(FirmRow, 1).daylight_only = False
        for number in HOUSES:
            house(session, number, "holding tank", components=["septic tank"])
            visit(session, number, date(2025, 5, 1))
        who = {"firm_id": 1, "name": "Ann Other", "initials": "AO", "workdays": [0, 1, 3]}
        shift = {"shift_from_min": 8 * 60, "shift_to_min": 10 * 60}
        add(session, TechnicianRow(id=1, home_lon=LON, home_lat=LAT, **who, **shift))
        add(session, LicenceRow(technician_id=1, kind="maintenance"))
        recompute_due(session, MONDAY)
    return store


@pytest.fixture
def wanted(now):
    """Monday, as a dispatcher would order it."""
    search = Search(rounds=300)
    return DayOrder(firm_id=1, on_date=MONDAY, search=search, made_by="test", now=now)


@pytest.fixture
def parts(here, store_url):
    """The store of the test, with the engines in use."""
    return Parts(settings(store_url, None), here)


def sites_of(day):
    return [stop.site_id for route in day.routes for stop in route.visits]


def planned(parts, wanted, count):
    with parts.roads() as roads:
        return plan_days(parts.store, roads, parts.solver(), wanted, count)


def test_the_next_working_days_are_kept_one_by_one_and_share_the_visits(parts, wanted):
    found = planned(parts, wanted, 3)
    assert [day.on_date for day in found] == [MONDAY, TUESDAY, THURSDAY]
    made = [site for day in found for site in sites_of(day)]
    assert sorted(made) == sorted(set(made))
    assert all(sites_of(day) for day in found)
    with parts.store.reading() as session:
        kept = [days.day_of(session, 1, day.on_date) for day in found]
    assert [sites_of(day) for day in kept] == [sites_of(day) for day in found]
    assert [day.number for day in kept] == [1, 1, 1]
    assert found[0].notes[-1] == (
        "Ordered together with 2026-06-16, 2026-06-18; how far that is from the best possible is "
        "not looked for."
    )


def test_what_is_made_on_a_later_day_waits_and_names_it(parts, wanted):
    first, second = planned(parts, wanted, 2)
    words = {one.site_id: (one.why_word, one.why) for one in first.waiting}
    for site in sites_of(second):
        assert words[site] == (WhyWord.ANOTHER_DAY, "Planned for Tuesday, 16 June 2026.")
    assert {*sites_of(first), *words} == set(HOUSES)
    assert not {one.site_id for one in second.waiting} & {*sites_of(first)}


def test_promised_days_are_kept_those_after_the_last_day_too(parts, wanted, now):
    later = date(2026, 6, 22)
    with parts.store.session() as session:
        for site, on_date in ((1, THURSDAY), (2, later)):
            session.add(HoldRow(firm_id=1, site_id=site, on_date=on_date, held_at=now))
    found = planned(parts, wanted, 3)
    assert [1 in sites_of(day) for day in found] == [False, False, True]
    assert all(2 not in sites_of(day) for day in found)
    told = next(one for one in found[0].waiting if one.site_id == 2)
    assert (told.why_word, told.why) == (
        WhyWord.ANOTHER_DAY,
        "Promised for Monday, 22 June 2026.",
    )


def test_one_day_together_is_the_day_that_it_always_was(parts, wanted):
    (alone,) = planned(parts, wanted, 1)
    with parts.roads() as roads:
        single = plan_day(parts.store, roads, parts.solver(), wanted)
    assert alone.routes == single.routes
    assert alone.cost == single.cost
    assert alone.waiting == single.waiting


def test_a_comparison_keeps_nothing(parts, wanted):
    with parts.roads() as roads:
        told = compare_days(parts.store, roads, parts.solver(), wanted, 3)
    assert told["dates"] == ["2026-06-15", "2026-06-16", "2026-06-18"]
    for way in ("together", "one_by_one"):
        assert told[way]["visits"] == sum(told[way]["visits_by_day"])
        assert told[way]["visits"] + told[way]["left"] == len(HOUSES)
    assert told["together"]["cost_s"] <= told["one_by_one"]["cost_s"]
    with parts.store.reading() as session:
        assert not days.planned_dates(session, 1, MONDAY, THURSDAY)


def test_days_on_which_nobody_works_are_told(parts, wanted):
    with parts.store.session() as session:
        session.get_one(TechnicianRow, 1).workdays = []
    with pytest.raises(PlanError, match="Nobody works on 2 days from 2026-06-15 on"):
        planned(parts, wanted, 2)


def test_days_off_are_no_working_days():
    who = Technician(name="Ann Other", initials="AO", workdays=(0, 1), days_off=(TUESDAY,))
    found = working_days([who], MONDAY)
    assert [next(found), next(found)] == [MONDAY, date(2026, 6, 22)]


def test_the_command_prints_each_day(here, store_url):
    options = ["2026-06-15", "--days", "2", "--rounds", "50", "--firm", "Own Firm", "--json"]
    done = CliRunner().invoke(command, [*options, "--today", "2026-06-15", "--store", store_url])
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert [day["date"] for day in told["days"]] == ["2026-06-15", "2026-06-16"]
    done = CliRunner().invoke(command, ["2026-06-15", "--compare", "--store", store_url])
    assert done.exit_code == 2
    assert "--compare needs --days." in done.stderr
