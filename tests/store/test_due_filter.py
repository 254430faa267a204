"""Each filter of the overdue map on both stores, held to a plain count in Python."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta

import mapbox_vector_tile
import pytest

from registry.records.due_rows import NO_STATUS, AgreementState, DueFilter, TileRows
from registry.records.places import LonLat
from registry.services.recompute_due import recompute_due
from registry.store import Session
from registry.store.cells import tile_at
from registry.store.due_filter import choices
from registry.store.due_tiles import tile_made
from registry.store.overdue import count_overdue_systems, overdue_page
from registry.store.overdue_counts import due_dates, late_shares
from registry.store.scope import Scope
from registry.store.tables import (
    AgreementRow,
    FindingMendedRow,
    FindingRow,
    FloodFactRow,
    ObligationRow,
    SiteRow,
    SystemDueRow,
    SystemRow,
)
from tests.store.due_rows import add, county, house, visit

TODAY = date(2026, 6, 15)
ALL = Scope()
NUMBERS = range(1, 19)
KINDS = ("holding tank", "mound")
TOWNS = ("Alder", "Birch", "")
STATUSES = ("operating", "expired", "")
STATES = (AgreementState.IN_FORCE, AgreementState.LAPSED, AgreementState.NONE)
ZONES = ("AE", "X", None)
WORLD = (0, 0, 0)


@pytest.fixture
def here(session: Session) -> Session:
    """Eighteen systems whose features go round with different periods; every fourth is in time."""
    county(session)
    for n in NUMBERS:
        house(
            session,
            n,
            KINDS[n % 2],
            site={"town": TOWNS[n % 3], "jurisdiction_id": 1 + n % 2},
            system={"permit_status": STATUSES[n // 3 % 3]},
        )
        made = visit(session, n, TODAY - timedelta(days=100 if n % 4 == 0 else 420 + 10 * n))
        _flood(session, n)
        _agreement(session, n)
        if n % 5 == 0:
            _finding(session, n, made)
    recompute_due(session, TODAY)
    return session


def _flood(session: Session, n: int) -> None:
    zone = ZONES[n % 3]
    if zone:
        below = None if n % 2 else n % 3 == 0
        add(
            session,
            FloodFactRow(site_id=n, zone=zone, in_hazard_area=zone == "AE", below_bfe=below),
        )


def _agreement(session: Session, n: int) -> None:
    begun = TODAY - timedelta(days=900)
    state = STATES[n // 2 % 3]
    if state is not AgreementState.NONE:
        ends = TODAY - timedelta(days=1) if state is AgreementState.LAPSED else TODAY
        add(session, AgreementRow(site_id=n, firm_id=1, starts_on=begun, ends_on=ends))


def _finding(session: Session, n: int, made: str) -> None:
    add(
        session,
        FindingRow(
            id=f"f-{n}",
            visit_id=made,
            site_id=n,
            system_id=n,
            kind="surfacing",
            seriousness="serious" if n != 15 else "fault",
        ),
    )
    if n == 10:
        moment = datetime(2026, 6, 1, tzinfo=UTC)
        add(
            session,
            FindingMendedRow(finding_id=f"f-{n}", mended_on=TODAY, noted_at=moment, note=""),
        )


def late(session: Session) -> set[int]:
    """The overdue systems, counted row by row."""
    return {
        one.system_id
        for one in session.query(SystemDueRow)
        if one.due_on is not None and (TODAY - one.due_on).days > one.grace_days
    }


CASES = {
    "kind": (DueFilter(kinds=("mound",)), lambda n: KINDS[n % 2] == "mound"),
    "town": (DueFilter(town="Alder"), lambda n: TOWNS[n % 3] == "Alder"),
    "permit": (DueFilter(permit_status="expired"), lambda n: STATUSES[n // 3 % 3] == "expired"),
    "no permit": (DueFilter(permit_status=NO_STATUS), lambda n: not STATUSES[n // 3 % 3]),
    "in hazard area": (DueFilter(in_hazard_area=True), lambda n: ZONES[n % 3] == "AE"),
    "outside": (DueFilter(in_hazard_area=False), lambda n: ZONES[n % 3] == "X"),
    "zone": (DueFilter(flood_zone="X"), lambda n: ZONES[n % 3] == "X"),
    "below": (DueFilter(below_bfe=True), lambda n: n % 2 == 0 and n % 3 == 0),
    "not below": (DueFilter(below_bfe=False), lambda n: n % 2 == 0 and n % 3 == 1),
    "in force": (DueFilter(agreement=STATES[0]), lambda n: n // 2 % 3 == 0),
    "lapsed": (DueFilter(agreement=STATES[1]), lambda n: n // 2 % 3 == 1),
    "no agreement": (DueFilter(agreement=STATES[2]), lambda n: n // 2 % 3 == 2),
    "serious": (DueFilter(serious_open=True), lambda n: n == 5),
    "no task": (DueFilter(task="no such task"), lambda n: n < 0),
    "several": (
        DueFilter(kinds=("mound",), town="Birch", in_hazard_area=False),
        lambda n: n % 2 == 1 and n % 3 == 1,
    ),
}


@pytest.mark.parametrize("which", CASES)
def test_list_count_squares_and_groups_hold_the_systems_that_a_plain_look_finds(here, which):
    asked, holds = CASES[which]
    assert here.query(SystemRow).count() == len(NUMBERS)
    there = {n for n in NUMBERS if holds(n)}
    overdue = there & late(here)
    rows = overdue_page(here, ALL, TODAY, asked, limit=None)
    assert {one.system_id for one in rows} == overdue
    assert count_overdue_systems(here, ALL, TODAY, asked) == len(overdue)
    squares = tile_made(here, ALL, WORLD, TODAY, asked).squares
    assert sum(one.n for one in squares) == len(there)
    assert sum(one.n_overdue for one in squares) == len(overdue)
    for by in ("town", "kind"):
        groups = late_shares(here, ALL, TODAY, by, asked)
        assert sum(one.n for one in groups) == len(there)
        assert sum(one.n_overdue for one in groups) == len(overdue)


def test_a_tile_of_marks_holds_the_same_systems_as_the_list(here):
    from tests.store.due_rows import LAT, LON, STEP_DEG

    tile = tile_at(LonLat(LON + 9 * STEP_DEG, LAT), 10)
    for asked, holds in CASES.values():
        marks = systems_in(tile_made(here, ALL, tile, TODAY, asked))
        assert marks <= {n for n in NUMBERS if holds(n)}
    assert len(systems_in(tile_made(here, ALL, tile, TODAY))) > len(NUMBERS) / 2


def systems_in(made: TileRows | bytes) -> set[int]:
    """The systems that a tile has marks of, also one that PostGIS made."""
    if isinstance(made, TileRows):
        return {one.system_id for one in made.marks}
    layers = mapbox_vector_tile.decode(made)
    return {one["id"] for one in layers.get("systems", {"features": []})["features"]}


@pytest.mark.parametrize("task", ["inspection", "purge", "bed check"])
def test_a_task_is_looked_at_wherever_it_is_owed_whatever_is_due_first(here, task):
    asked = DueFilter(task=task)
    owed = {one.system_id: one for one in here.query(ObligationRow).filter_by(task=task)}
    assert owed
    overdue = {
        n: one
        for n, one in owed.items()
        if one.due_on is not None and (TODAY - one.due_on).days > one.grace_days
    }
    rows = overdue_page(here, ALL, TODAY, asked, limit=None)
    assert {one.system_id: (one.task, one.due_on) for one in rows} == {
        n: (task, one.due_on) for n, one in overdue.items()
    }
    assert [one.due_on for one in rows] == sorted(one.due_on for one in overdue.values())
    assert count_overdue_systems(here, ALL, TODAY, asked) == len(overdue)
    squares = tile_made(here, ALL, WORLD, TODAY, asked).squares
    assert sum(one.n for one in squares) == len(owed)
    assert sum(one.n_overdue for one in squares) == len(overdue)
    for by in ("town", "kind"):
        groups = late_shares(here, ALL, TODAY, by, asked)
        assert sum(one.n for one in groups) == len(owed)
        assert sum(one.n_overdue for one in groups) == len(overdue)
    assert sum(n for _, _, n in due_dates(here, ALL, TODAY, asked)) == len(owed)


def test_counts_by_town_name_the_longest_overdue_and_keep_to_the_scope(here):
    groups = late_shares(here, ALL, TODAY, "town")
    known = Counter((1 + n % 2, TOWNS[n % 3]) for n in NUMBERS)
    assert {(one.jurisdiction_id, one.name): one.n for one in groups} == known
    for one in groups:
        mine = [
            n for n in late(here) if (1 + n % 2, TOWNS[n % 3]) == (one.jurisdiction_id, one.name)
        ]
        dates = [here.get_one(SystemDueRow, n).due_on for n in mine]
        assert one.oldest_due_on == min(dates, default=None)
    only = late_shares(here, Scope(None, (2,)), TODAY, "town")
    assert {one.jurisdiction_id for one in only} == {2}
    assert sum(n for _, _, n in due_dates(here, Scope(None, (2,)), TODAY)) == sum(
        one.n for one in only
    )


def test_what_can_be_chosen_is_what_is_on_file_in_the_scope(here):
    here.query(SiteRow).filter_by(id=1).update({"town": "Cedar"})
    recompute_due(here, TODAY, [1])
    found = choices(here, ALL)
    assert found.towns == ("Alder", "Birch", "Cedar")
    assert found.permit_statuses == ("expired", "operating")
    assert found.flood_zones == ("AE", "X")
    assert "Cedar" not in choices(here, Scope(None, (1,))).towns
    assert choices(here, Scope(None, (1, 2))) == found
    firms = [choices(here, Scope(one)) for one in (1, 2)]
    assert sorted({town for one in firms for town in one.towns}) == list(found.towns)
