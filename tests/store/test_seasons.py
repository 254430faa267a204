"""Seasons on both stores: made, kept, made again, announced, written to files."""

from datetime import date, timedelta

import pytest
from icalendar import Calendar

from registry.errors import NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.season import MadeSeason
from registry.report.season_file import season_calendar, season_csv
from registry.services.letters import see_letters
from registry.services.plan_day import Search
from registry.services.recompute_due import recompute_due
from registry.services.season_notices import write_notices
from registry.services.seasons import SeasonOrder, make_season, season_in_force
from registry.solvers.season.solver import SeasonAnnealing
from registry.store import Store
from registry.store.seasons import seasons_made
from registry.store.tables import FloodFactRow, LicenceRow, TechnicianRow
from registry.wiring import flown_ways, roads_as_flown
from tests.store.due_rows import LAT, LON, add, county, house, visit
from tests.store.rows import NOW

TODAY = date(2026, 6, 15)
OFFICE = Viewer(name="office", role=Role.DISPATCHER, firm_id=1)
HOUSES = range(1, 9)
FLOODED = 5


@pytest.fixture
def firm(store: Store) -> Store:
    """Eight mounds with yearly tasks, done over the last year, and one technician."""
    with store.session() as session:
        county(session)
        for number in HOUSES:
            house(session, number, "mound", site={"town": "Nowhere"})
            done_on = TODAY - timedelta(days=40 * number)
            visit(session, number, done_on, ("inspection", "pump test"))
        who = TechnicianRow(
            id=1,
            firm_id=1,
            name="A. Nobody",
            initials="AN",
            home_lon=LON,
            home_lat=LAT,
            shift_from_min=480,
            shift_to_min=1020,
            workdays=[0, 1, 2, 3, 4],
            skills=["panel", "pressure"],
        )
        add(session, who, LicenceRow(technician_id=1, kind="maintenance", number="1"))
        add(session, FloodFactRow(site_id=FLOODED, in_hazard_area=True, flagged_at=NOW))
        recompute_due(session, TODAY)
    return store


def made(store: Store) -> MadeSeason:
    """Make a season of the firm."""
    wanted = SeasonOrder(firm_id=1, today=TODAY, now=NOW, search=Search(seconds=None, rounds=10))
    return make_season(store, roads_as_flown(), flown_ways(), SeasonAnnealing(), wanted)


def test_every_obligation_of_the_year_has_a_week_before_its_due_date(firm: Store) -> None:
    season = made(firm)
    tasks = {(one.site_id, task) for one in season.visits for task in one.tasks}
    assert {(n, "inspection") for n in HOUSES} | {(n, "pump test") for n in HOUSES} <= tasks
    for one in season.visits:
        if one.due_on is not None and not one.late:
            assert one.week_on + timedelta(days=4) <= one.due_on


def test_a_site_on_a_flood_plain_is_not_visited_in_wet_weeks(firm: Store) -> None:
    """House 5 was done at the end of November, so it is due in the wet weeks; it comes early."""
    weeks = [one.week_on for one in made(firm).visits if one.site_id == FLOODED and not one.late]
    assert weeks
    assert all(date(2026, 4, 15) < week < date(2026, 11, 1) for week in weeks if week.year == 2026)


def test_the_newest_season_is_in_force_and_those_before_it_stay(firm: Store) -> None:
    with firm.reading() as session, pytest.raises(NotFoundError, match="No season was made"):
        season_in_force(session, 1)
    first, second = made(firm), made(firm)
    with firm.reading() as session:
        assert season_in_force(session, 1) == second
        assert [number for number, *_ in seasons_made(session, 1)] == [second.id, first.id]


def test_promised_weeks_stay_when_the_season_is_made_again(firm: Store) -> None:
    first = made(firm)
    with firm.session() as session:
        batch, number = write_notices(session, OFFICE, 52, TODAY, NOW)
        written = see_letters(session, OFFICE, batch)
    promised = {(one.site_id, one.week_on) for one in first.visits if one.week_on > TODAY}
    assert number == len(written) == len(promised)
    assert "In the week of" in written[0].body
    again = made(firm)
    told = {(one.site_id, one.week_on) for one in again.visits if one.promised_at is not None}
    assert told == promised
    with firm.session() as session, pytest.raises(RangeError, match="No visit of these weeks"):
        write_notices(session, OFFICE, 52, TODAY, NOW)


def test_a_season_goes_into_a_spreadsheet_and_a_calendar(firm: Store) -> None:
    season = made(firm)
    lines = season_csv(season.visits).splitlines()
    assert len(lines) == len(season.visits) + 1
    calendar = Calendar.from_ical(season_calendar(season.visits, NOW))
    weeks = {event.decoded("dtstart") for event in calendar.walk("VEVENT")}
    assert weeks == {one.week_on for one in season.visits}
