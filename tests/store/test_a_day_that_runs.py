"""A day that runs, on both stores: notes, ordering again, two dispatchers at once, questions."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from click.testing import CliRunner

from registry.cli.main import cli
from registry.errors import ConflictError, NotFoundError, PlanError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.day_notes import DayNote, NoteKind
from registry.roads.straight_line import StraightLine
from registry.services import run_day
from registry.services.plan_day import DayOrder, Search, plan_day
from registry.services.plan_days import plan_days
from registry.services.recompute_due import recompute_due
from registry.services.run_day import Reordering
from registry.services.see_running import see_running, see_version
from registry.services.what_if import Wishes, what_if
from registry.services.why_site import why_site
from registry.solvers.repair import Repairer
from registry.solvers.ruin_recreate import RuinRecreateSolver
from registry.store import Store, day_notes, days, names
from registry.store.tables import JurisdictionRow, LicenceRow, TechnicianRow
from tests.store.due_rows import LAT, LON, add, county, house, visit

MONDAY = date(2026, 6, 22)
SITES = (1, 2, 3, 4)
COMMANDS_RUN_ON = pytest.mark.parametrize("store_kind", ["sqlite"])
"""Commands only parse, call a service and print; the services are tried on both stores."""


@pytest.fixture
def url(store: Store, store_url: str) -> str:
    """Four houses in a row, all overdue, two technicians, and an ordered Monday."""
    with store.session() as session:
        county(session)
        session.get_one(JurisdictionRow, 1).time_zone = "America/Chicago"
        for number in SITES:
            house(session, number)
            visit(session, number, date(2020, 1, 1))
        shift = {"shift_from_min": 8 * 60, "shift_to_min": 17 * 60, "workdays": [0]}
        home = {"home_lon": LON, "home_lat": LAT, "firm_id": 1}
        for name, initials in (("Ann Other", "AO"), ("Ben Other", "BO")):
            person = TechnicianRow(name=name, initials=initials, **home, **shift)
            add(session, person)
            add(session, LicenceRow(technician_id=person.id, kind="maintenance"))
        recompute_due(session, date(2026, 6, 20))
    moment = datetime(2026, 6, 20, 12, 0, tzinfo=UTC)
    wanted = DayOrder(
        firm_id=1, on_date=MONDAY, search=Search(rounds=200), made_by="office", now=moment
    )
    day = plan_day(store, StraightLine(), RuinRecreateSolver(), wanted)
    assert sum(len(one.visits) for one in day.routes) == len(SITES)
    return store_url


def run(*words: str, url: str):
    own = ["--firm", "Own Firm"]
    return CliRunner().invoke(cli, [*words, *own, "--store", url])


OFFICE = Viewer(name="Ann", role=Role.DISPATCHER, firm_id=1)


def test_notes_are_kept_told_and_taken_back(store: Store, url: str, now: datetime) -> None:
    said = DayNote(on_date=MONDAY, kind=NoteKind.DONE, at_min=560, site_id=2, text="All well.")
    with store.session() as session:
        number = run_day.note(session, OFFICE, said, now)
        (kept,) = run_day.notes_on(session, OFFICE, MONDAY)
        assert kept == replace(said, id=number, noted_by="Ann", noted_at=now)
        assert day_notes.notes_on(session, 2, MONDAY) == []
        seen = see_running(session, OFFICE, MONDAY, 9 * 60 + 30)
        assert [one.said for one in seen.notes] == ["9:20 S-2 done. All well.".replace("9:", "09:")]
        run_day.take_back(session, OFFICE, MONDAY, number)
        assert run_day.notes_on(session, OFFICE, MONDAY) == []
        with pytest.raises(NotFoundError):
            run_day.take_back(session, OFFICE, MONDAY, number)


def test_a_note_about_somebody_of_another_firm_is_refused(
    store: Store, url: str, now: datetime
) -> None:
    with store.session() as session:
        house(session, 9, site={"firm_id": 2})
        away = DayNote(on_date=MONDAY, kind=NoteKind.DONE, at_min=560, site_id=9)
        with pytest.raises(NotFoundError, match="no such site"):
            run_day.note(session, OFFICE, away, now)
        late = DayNote(on_date=MONDAY, kind=NoteKind.LATE, at_min=560, technician_id=99, minutes=5)
        with pytest.raises(NotFoundError, match="no such technician"):
            run_day.note(session, OFFICE, late, now)
        with pytest.raises(RangeError, match="outside the day"):
            run_day.note(session, OFFICE, replace(late, at_min=2000), now)


def test_whoever_orders_again_second_is_told_what_moved(
    store: Store, url: str, now: datetime
) -> None:
    """Both saw plan 1; Ann's technician goes home and she is quicker."""
    with store.session() as session:
        crew = names.technician_ids(session, 1)
        first = days.day_of(session, 1, MONDAY)
        assert first is not None
        busy = next(one for one in first.routes if one.visits)
        home = DayNote(
            on_date=MONDAY,
            kind=NoteKind.GONE_HOME,
            at_min=8 * 60,
            technician_id=crew[busy.technician],
        )
        run_day.note(session, OFFICE, home, now)
    wanted = Reordering(at_min=8 * 60, made_from=1, rounds=100)
    done = run_day.reorder(store, StraightLine(), Repairer(), OFFICE, MONDAY, wanted, now)
    assert done.day.number == 2
    assert set(done.tell_technicians) == set(crew)
    assert {one.before.technician for one in done.moves if one.before} == {busy.technician}
    ben, later = replace(OFFICE, name="Ben"), now + timedelta(minutes=5)
    with pytest.raises(ConflictError) as refused:
        run_day.reorder(store, StraightLine(), Repairer(), ben, MONDAY, wanted, later)
    assert "re-ordered meanwhile by Ann" in str(refused.value)
    assert "Moved: S-" in str(refused.value)
    with store.reading() as session:
        kept = days.day_of(session, 1, MONDAY)
        assert kept == done.day
        old, moves, _ = see_version(session, OFFICE, MONDAY, 1)
        assert old == first
        assert moves == done.moves


def test_what_is_done_stays_on_its_line_when_the_whole_day_is_ordered_again(
    store: Store, url: str, now: datetime
) -> None:
    """One stop is noted as done, the next one is recorded: nothing is due at either any more."""
    with store.session() as session:
        first = days.day_of(session, 1, MONDAY)
        assert first is not None
        busy = max(first.routes, key=lambda one: len(one.visits))
        made = busy.visits[:2]
        at_min = made[0].leaves.hour * 60 + made[0].leaves.minute
        said = DayNote(on_date=MONDAY, kind=NoteKind.DONE, at_min=at_min, site_id=made[0].site_id)
        run_day.note(session, OFFICE, said, now)
        for stop in made:
            visit(session, stop.site_id, MONDAY)
        recompute_due(session, MONDAY, [stop.site_id for stop in made])
    wanted = DayOrder(firm_id=1, on_date=MONDAY, search=Search(rounds=200), made_by="Ben", now=now)
    again = plan_day(store, StraightLine(), RuinRecreateSolver(), wanted)
    assert again.number == 2
    line = next(one for one in again.routes if one.technician == busy.technician)
    assert [(one.site, one.starts, one.leaves) for one in line.visits[:2]] == [
        (one.site, one.starts, one.leaves) for one in made
    ]
    assert sorted(one.site for route in again.routes for one in route.visits) == [
        f"S-{number}" for number in SITES
    ], "each once, those that are open too"
    later = [one for route in again.routes for one in route.visits if one.site_id not in
             {stop.site_id for stop in made}]  # fmt: skip
    assert all(one.arrives >= made[1].leaves for one in later)
    assert any("The day has begun" in one for one in again.notes)
    # A question about such a day is about what is open: none of what is done would wait.
    hours = (("Ann Other", -540), ("Ben Other", -540))
    asked = Wishes(more_min=hours, rounds=20)
    told = what_if(store, StraightLine(), Repairer(), 1, MONDAY, asked, now)
    assert len(told.waits) == len(later) == len(SITES) - len(made)
    assert told.since_s is not None
    behind = why_site(store, StraightLine(), 1, MONDAY, made[0].site, now)
    assert behind.said.startswith("It is done ")
    assert behind.technician == busy.technician
    with pytest.raises(PlanError, match="has begun"):
        plan_days(store, StraightLine(), RuinRecreateSolver(), wanted, 2)


@COMMANDS_RUN_ON
def test_a_dry_run_keeps_nothing(store: Store, url: str, now: datetime) -> None:
    answer = run("today", "reorder", "2026-06-22", "--at", "09:00", "--rounds", "50", "--dry-run",
                 url=url)  # fmt: skip
    assert answer.exit_code == 0, answer.output
    with store.reading() as session:
        assert [one.number for one in see_running(session, OFFICE, MONDAY, 540).versions] == [1]


@COMMANDS_RUN_ON
def test_the_commands_of_a_running_day_tell_it_in_words_and_as_json(url: str) -> None:
    noted = run("today", "note", "2026-06-22", "not reached", "--site", "S-2", "--at", "08:40",
                url=url)  # fmt: skip
    assert noted.exit_code == 0, noted.output
    told = run("today", "reorder", "2026-06-22", "--at", "08:40", "--rounds", "50", "--json",
               url=url)  # fmt: skip
    document = json.loads(told.stdout)
    assert any(one["site"] == "S-2" for one in document["waiting"])
    assert any("S-2: was " in one for one in document["moves"])
    show = ("today", "show", "2026-06-22", "--at", "09:00")
    shown = json.loads(run(*show, "--json", url=url).stdout)
    assert [one["number"] for one in shown["versions"]] == [2, 1]
    assert shown["notes"][0]["said"] == "08:40 S-2 not reached"
    words = run(*show, url=url)
    assert "Plan 2: re-ordered by command line" in words.output
    back = run("today", "take-back", "2026-06-22", "77", url=url)
    assert back.exit_code != 0
    assert "no note 77" in str(back.exception)


@COMMANDS_RUN_ON
def test_why_and_what_if_are_answered_by_command_and_keep_nothing(store: Store, url: str) -> None:
    why = json.loads(run("why", "2026-06-22", "S-3", "--json", url=url).stdout)
    assert why["technician"]
    assert why["each"][0]["word"] == "fits"
    who = why["each"][0]["technician"]
    wish = ("what-if", "2026-06-22", "--rounds", "50")
    put = json.loads(run(*wish, "--put", f"S-3:{who}", "--json", url=url).stdout)
    assert put["made"] == put["waits"] == put["not_kept"] == []
    counts = {one["after"]["technician"]: one["after"]["visits"] for one in put["routes"]}
    assert counts[who] >= 1
    # without hours nobody is left to make anything
    none = run(*wish, "--more-hours", "Ann Other:-540", "--more-hours", "Ben Other:-540", "--json",
               url=url)  # fmt: skip
    assert len(json.loads(none.stdout)["waits"]) == len(SITES)
    for words, said in (
        (("--put", "S-3:Nobody"), "Nobody named Nobody is on duty"),
        (("--put", "S-77:Ann Other"), "Site S-77 has no visit"),
        (("--put", "S-3"), "two words with a colon"),
        (("--more-hours", "Ann Other:lots"), "no whole number of minutes"),
        ((), "Give --put"),
    ):
        answer = run(*wish, *words, url=url)
        assert answer.exit_code != 0
        assert said in answer.output + str(answer.exception)
    with store.reading() as session:
        assert days.day_of(session, 1, MONDAY).number == 1  # type: ignore[union-attr]
