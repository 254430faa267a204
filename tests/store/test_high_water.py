"""Rivers come in from files, and a stage says what stands under water, on both stores."""

from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from registry.due.after_flood import AFTER_FLOOD, SOURCE
from registry.due.before_water import LIDS, NO_PUMPING, PANEL, TOO_LATE
from registry.errors import AccessError, FileError, NotFoundError
from registry.records.changes import Role, Viewer
from registry.records.high_water import HighWater, RoadState
from registry.records.work import Obligation
from registry.services.after_flood import flooded_sites
from registry.services.before_water import before_water
from registry.services.day_input import day_input
from registry.services.due_visits import due_visit
from registry.services.explain_due import explain_due
from registry.services.hand_to_day import ToDay, hand_to_day
from registry.services.high_water import high_water, work_out_stages
from registry.services.import_outcome import ImportOutcome
from registry.services.import_parts import import_parts
from registry.services.import_river import import_river
from registry.services.recompute_due import recompute_due
from registry.services.rivers_now import rivers_now
from registry.store import Session, Store, visits
from registry.store.obligations import obligations_of_sites
from registry.store.tables import ObligationRow, SiteRow
from tests.store import rows
from tests.store.importing import counts, request, table_counts
from tests.unit.imports import files
from tests.unit.imports.files import feature
from web.river_words import river_words

LINE = {"type": "LineString", "coordinates": [[-140.5, 44.4], [-140.5, 44.6]]}
GAUGES = "gauge,river,station_mi,zero_ft,datum\nMill,Invented River,5.0,186.5,NAVD88\n"
# a table in which stage and level agree at the gauge and which rises 2 ft a mile upstream
LEVELS = "gauge,stage_ft,station_mi,surface_ft,datum\n" + "".join(
    f"Mill,{stage},{mile},{186.5 + stage + 2 * (mile - 5)},NAVD88\n"
    for stage in (10, 30)
    for mile in (0, 10)
)
STAGES = (
    "gauge,at,stage_ft,forecast\n"
    "Mill,2026-06-15T06:00-05:00,15,no\n"
    "Mill,2026-06-15T12:00-05:00,17,yes\n"
    "Mill,2026-06-15T18:00-05:00,23,yes\n"
)
LOW = (
    "name,lon,lat,elevation_ft,datum\n"
    "Invented Lane,-140.501,44.5,208.3,NAVD88\n"
    "Upper Lane,-140.501,44.5,212.0,NAVD88\n"
    "Unmeasured Lane,-140.501,44.5,,\n"
)
PARTS = (
    "site,kind,label,elevation_ft,elevation_datum\n"
    "A-1,control panel,panel,207.8,NAVD88\n"
    "A-1,lid,lowest lid,204.0,NAVD88\n"
    "A-1,vent,vent,,\n"
    "A-1,septic tank,tank,,\n"
)
SECOND = timedelta(seconds=1)
OFFICE = Viewer(name="a test", role=Role.ADMINISTRATOR)


def bring(store: Store, kind: str, path: Path, **fields: Any) -> ImportOutcome:
    with store.session() as session:
        return import_river(session, request(path, **fields), kind)


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def county(store: Store, tmp_path: Path) -> Store:
    """A store with one site beside a gauge at mile 5 of 10."""
    with store.session() as session:
        rows.site(session)
        put = partial(import_parts, kind_name="components")
        put(session, request(written(tmp_path, "parts.csv", PARTS)))
    told = {"gauge": "Mill", "river": "Invented River", "first_mi": 0, "last_mi": 10}
    bring(store, "gauges", written(tmp_path, "gauges.csv", GAUGES))
    bring(store, "river", files.geojson(tmp_path, feature(LINE, **told)))
    bring(store, "levels", written(tmp_path, "levels.csv", LEVELS))
    bring(store, "stages", written(tmp_path, "stages.csv", STAGES))
    bring(store, "low-points", written(tmp_path, "low.csv", LOW))
    with store.session() as session:
        assert work_out_stages(session) == 2
    return store


def at(store: Store, stage_ft: float, viewer: Viewer = OFFICE) -> HighWater:
    now = datetime(2026, 6, 15, 16, tzinfo=UTC)
    with store.reading() as session:
        return high_water(session, viewer, "", stage_ft, now)


def test_a_panel_goes_under_at_its_height_above_the_gauge_s_zero(county: Store) -> None:
    # 21.3 ft on a gauge datum of 186.5 ft is 207.8 ft: figures of a public project log
    found = at(county, 21.3 + 0.01)
    assert found.surface_ft == pytest.approx(207.81)
    assert [one.part for one in found.parts] == ["lowest lid", "panel"]
    assert found.parts[1].stage_ft == pytest.approx(21.3, abs=0.005)
    assert (found.n_parts, found.n_sites) == (2, 1)
    lower = at(county, 21.2)
    assert [one.part for one in lower.parts] == ["lowest lid"]
    assert [one.part for one in lower.next_parts] == ["panel"]


def test_what_is_to_be_measured_is_told_with_why_and_other_parts_are_not(county: Store) -> None:
    found = at(county, 20)
    assert [(one.part, one.why_unknown) for one in found.unknown] == [
        ("vent", "no elevation measured")
    ]


def test_a_road_says_how_far_the_water_stands_above_or_below_its_lowest_place(
    county: Store,
) -> None:
    # road low point 208.3 ft, water 207.8 ft: open by 0.5 ft, which is under 1 ft: may close.
    # The margin of 1 ft is common practice, no source.
    roads = {one.name: one for one in at(county, 21.3).roads}
    assert roads["Invented Lane"].over_ft == pytest.approx(-0.5, abs=0.01)
    assert roads["Invented Lane"].state is RoadState.MAY_CLOSE
    assert roads["Upper Lane"].state is RoadState.OPEN
    assert roads["Unmeasured Lane"].state is RoadState.UNKNOWN
    roads = {one.name: one for one in at(county, 21.9).roads}
    assert roads["Invented Lane"].state is RoadState.CLOSED


def test_the_forecast_says_when_a_stage_is_reached_from_now_on(county: Store) -> None:
    # worked by hand: 17 ft at 12:00, 23 ft at 18:00, so 20 ft at 15:00 by the same clock
    assert at(county, 20).reached_at == datetime(2026, 6, 15, 20, tzinfo=UTC)
    assert at(county, 24).reached_at is None


def test_beyond_the_levels_nothing_is_said_to_be_dry(county: Store) -> None:
    found = at(county, 31)
    assert not found.covered
    assert found.surface_ft is None
    assert {one.state for one in found.roads} == {RoadState.UNKNOWN}


def test_a_higher_stage_never_dries_a_component_nor_opens_a_road(county: Store) -> None:
    wet, closed = 0, 0
    for stage in range(10, 31):
        found = at(county, stage)
        assert found.n_parts >= wet
        now_closed = sum(one.state is RoadState.CLOSED for one in found.roads)
        assert now_closed >= closed
        wet, closed = found.n_parts, now_closed
    assert (wet, closed) == (2, 2)


def test_another_firm_sees_nothing_of_it_and_a_county_its_own(county: Store) -> None:
    other = Viewer(name="other", role=Role.DISPATCHER, firm_id=999)
    found = at(county, 25, other)
    assert (found.n_parts, found.parts, found.unknown) == (0, (), ())
    elsewhere = Viewer(name="elsewhere", role=Role.COUNTY, jurisdiction_ids=(999,))
    assert at(county, 25, elsewhere).n_parts == 0


def test_the_same_files_twice_change_nothing(county: Store, tmp_path: Path) -> None:
    before = table_counts(county)
    for kind, name in (("gauges", "gauges"), ("levels", "levels"), ("stages", "stages")):
        found = counts(bring(county, kind, tmp_path / f"{name}.csv"))
        assert found[1:3] == (0, 0)
        assert found[4] == 0
    assert table_counts(county) == before


def test_a_newer_forecast_and_a_newer_table_replace_the_older_ones(
    county: Store, tmp_path: Path
) -> None:
    newer = "gauge,at,stage_ft,forecast\nMill,2026-06-15T14:00-05:00,30,yes\n"
    bring(county, "stages", written(tmp_path, "newer.csv", newer))
    assert at(county, 25).reached_at == datetime(2026, 6, 15, 19, tzinfo=UTC)
    shorter = "\n".join(line for line in LEVELS.splitlines() if ",10," not in line or "," in line)
    bring(county, "levels", written(tmp_path, "levels.csv", shorter.replace(",30,", ",28,")))
    assert not at(county, 29).covered


def test_a_level_that_is_given_anew_takes_the_place_of_the_one_before(
    county: Store, tmp_path: Path
) -> None:
    anew = LEVELS.replace("Mill,30,0,206.5", "Mill,30,0,208.5")
    found = counts(bring(county, "levels", written(tmp_path, "anew.csv", anew)))
    assert found == (4, 0, 1, 3, 0)
    # at mile 5 half of the 2 ft more, in straight lines: 216.5 + 1.0
    assert at(county, 30).surface_ft == pytest.approx(217.5)


def test_levels_that_cannot_be_a_river_s_leave_the_registry_as_it_was(
    county: Store, tmp_path: Path
) -> None:
    before = table_counts(county)
    sunk = LEVELS.replace("Mill,30,10,226.5", "Mill,30,10,100.0")
    with pytest.raises(FileError, match=r"stands lower|sinks"):
        bring(county, "levels", written(tmp_path, "sunk.csv", sunk))
    assert table_counts(county) == before


def test_rows_that_cannot_be_taken_say_why_and_the_others_are_kept(
    county: Store, tmp_path: Path
) -> None:
    wrong = (
        "gauge,at,stage_ft\nMill,2026-06-16T06:00-05:00,14\nElsewhere,2026-06-16T06:00-05:00,14\n"
        "Mill,2026-06-16T06:00,14\nMill,soon,14\n"
    )
    outcome = bring(county, "stages", written(tmp_path, "wrong.csv", wrong))
    assert counts(outcome) == (4, 1, 0, 0, 3)
    told = " ".join(str(one) for one in outcome.complaints)
    assert "“Elsewhere” is no gauge that is known" in told
    assert "does not say which clock" in told
    assert "“soon” is no moment" in told


def test_without_a_table_one_slope_stands_for_the_levels_and_is_called_an_estimate(
    store: Store, tmp_path: Path
) -> None:
    sloped = GAUGES.replace("datum\n", "datum,slope_ft_per_mi\n").replace("88\n", "88,2\n")
    bring(store, "gauges", written(tmp_path, "gauges.csv", sloped))
    told = {"gauge": "Mill", "river": "Invented River", "first_mi": 0, "last_mi": 10}
    bring(store, "river", files.geojson(tmp_path, feature(LINE, **told)))
    found = at(store, 21.3)
    assert found.is_estimate
    assert found.surface_ft == pytest.approx(207.8)


def test_a_gauge_that_is_not_known_is_refused_with_those_that_are(
    county: Store,
) -> None:
    with county.reading() as session, pytest.raises(NotFoundError, match="Known are Mill"):
        high_water(session, OFFICE, "Weir", 12, datetime(2026, 6, 15, tzinfo=UTC))


def owed(store: Store) -> list[Obligation]:
    with store.session() as session:
        recompute_due(session, date(2026, 6, 20))
        found = obligations_of_sites(session, flooded_sites(session))
    return [one for one in found if one.task == AFTER_FLOOD]


def test_what_an_observed_stage_put_under_water_owes_a_check_until_one_was_made(
    county: Store, tmp_path: Path
) -> None:
    read = STAGES + "Mill,2026-06-16T06:00-05:00,19,no\n"
    outcome = bring(county, "stages", written(tmp_path, "rise.csv", read))
    # the lid, at 204 ft, goes under at 17.5 ft of stage (zero of 186.5 ft)
    assert len(outcome.touched_site_ids) == 1
    (one,) = owed(county)
    assert (one.due_on, one.source) == (None, SOURCE)
    assert "Mill was read at 19.0 ft, and 17.5 ft puts" in one.reason
    fallen = read + "Mill,2026-06-17T06:00-05:00,15,no\n"
    bring(county, "stages", written(tmp_path, "fall.csv", fallen))
    # 19 to 15 ft in a day from 06:00: 17.5 ft after nine hours, the same day
    (one,) = owed(county)
    assert (one.counted_from, one.due_on) == (date(2026, 6, 16), date(2026, 6, 17))
    with county.session() as session:
        told = explain_due(session, one.site_id, date(2026, 6, 20))
        (why,) = [x for x in told if x.task == AFTER_FLOOD]
        assert "3 days overdue" in why.headline
        done = ((one.system_id, AFTER_FLOOD),)
        made = rows.visit("v", one.site_id, on_date=date(2026, 6, 18), done=done)
        visits.record_visit(session, made)
    assert owed(county) == []


EARLY = datetime(2026, 6, 15, 11, tzinfo=UTC)
"""Six in the morning by the clock of the stages, at 15 ft."""


def test_before_the_water_a_low_panel_and_lids_are_seen_to_and_no_tank_is_pumped(
    county: Store,
) -> None:
    with county.session() as session:
        (site_id,) = site_ids(session)
        system_id = rows.system_of(session, site_id)
        pump_out(session, site_id, system_id)
        found = before_water(session, OFFICE, "", EARLY)
        (one,) = found.sites
        # by hand: 15 ft at 06:00, 17 at 12:00, 23 at 18:00; the lid at 17.5 ft, the panel at 21.3
        assert [(why.what, why.at) for why in one.visit] == [
            (LIDS, datetime(2026, 6, 15, 17, 30, tzinfo=UTC)),
            (PANEL, pytest.approx(datetime(2026, 6, 15, 21, 18, tzinfo=UTC), abs=SECOND)),
        ]
        assert (one.hold, one.held_tasks) == ((NO_PUMPING,), ("pump-out",))
        monday, thursday = date(2026, 6, 15), date(2026, 6, 18)
        wanted = ToDay(
            visit_on=monday, visit_ids=(site_id,), hold_until=thursday, hold_ids=(site_id,)
        )
        done = hand_to_day(session, OFFICE, wanted, EARLY)
        assert (done.before, done.after, done.left) == (1, 1, ())
        again = hand_to_day(session, OFFICE, wanted, EARLY)
        assert (again.before, again.after, len(again.left)) == (0, 0, 2)
        before = due_visit(session, site_id, monday)
        after = due_visit(session, site_id, thursday)
        assert before is not None
        assert before.tasks == ("before high water",)
        assert before.hold is not None
        assert before.hold.to_min == 15 * 60 + 30  # two hours before 17:30 by the county's clock
        assert after is not None
        assert "pump-out" in after.tasks
        assert day_input(session, rows.firm(session), monday).notes  # the forecast is heeded now


def test_nobody_is_sent_to_where_the_water_is_within_two_hours(county: Store) -> None:
    with county.session() as session:
        (site_id,) = site_ids(session)
        pump_out(session, site_id, rows.system_of(session, site_id))
        (one,) = before_water(session, OFFICE, "", datetime(2026, 6, 15, 16, tzinfo=UTC)).sites
        assert (one.visit, one.hold[0]) == ((), TOO_LATE)
        late = ToDay(visit_on=date(2026, 6, 16), visit_ids=(site_id,), hold_until=date(2026, 6, 18))
        done = hand_to_day(session, OFFICE, late, EARLY)
        assert (done.before, done.left) == (
            0, ("A-1: on 2026-06-16 the water is there already. Stay away.",))  # fmt: skip
        with pytest.raises(AccessError):
            before_water(session, Viewer(name="gate", role=Role.TECHNICIAN), "", EARLY)


def site_ids(session: Session) -> list[int]:
    """The ids of all sites."""
    return list(session.scalars(select(SiteRow.id)))


def pump_out(session: Session, site_id: int, system_id: int) -> None:
    """A pump-out that is due on Monday."""
    firm_id, place_id = session.execute(select(SiteRow.firm_id, SiteRow.jurisdiction_id)).one()
    row = ObligationRow(
        system_id=system_id,
        site_id=site_id,
        firm_id=firm_id,
        jurisdiction_id=place_id,
        task="pump-out",
        rule_code="invented",
        source="invented",
        due_on=date(2026, 6, 15),
        estimated=False,
        grace_days=0,
        horizon_days=30,
        reason="",
    )
    session.add(row)
    session.flush()


@pytest.mark.parametrize(
    ("hour", "said"),
    [
        (5, "Mill, highest forecast 23.0 ft, 15 Jun 2026, 18:00 CDT"),
        (
            9,
            "Mill, 15.0 ft read 15 Jun 2026, 6:00 CDT; "
            "highest forecast 23.0 ft, 15 Jun 2026, 18:00 CDT",
        ),
        (19, "Mill, 15.0 ft read 15 Jun 2026, 6:00 CDT"),
    ],
)
def test_the_day_says_how_the_river_stands(county: Store, hour: int, said: str) -> None:
    now = datetime(2026, 6, 15, 5, tzinfo=UTC) + timedelta(hours=hour)  # the county is at UTC−5
    with county.reading() as session:
        found = rivers_now(session, OFFICE, now)
    assert [river_words(one, "America/Chicago") for one in found] == [said]
