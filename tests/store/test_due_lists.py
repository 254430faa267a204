from datetime import date, timedelta
from typing import Any

import mapbox_vector_tile
import pytest

from registry.records.changes import Role, Viewer
from registry.records.due_rows import DueFilter, TileRows
from registry.records.places import Box, LonLat
from registry.services.recompute_due import recompute_due
from registry.store import Session, cells
from registry.store.cells import centre_of, tile_box
from registry.store.due_tiles import tile_made
from registry.store.obligations import count_due, count_overdue, due_page
from registry.store.overdue import (
    count_overdue_systems,
    marks_in_box,
    nearest,
    overdue_page,
)
from registry.store.scope import Scope, scope_of
from registry.store.tables import FloodFactRow, ObligationRow, SiteRow, SystemDueRow
from tests.store.due_rows import LAT, LON, STEP_DEG, add, county, house, visit
from web.tiles import points_of

TODAY = date(2026, 6, 15)
ALL = Scope()
NUMBERS = range(1, 13)


@pytest.fixture
def here(session: Session) -> Session:
    """Twelve holding tanks in a row, number n overdue by 40 − 10 n days, of two firms."""
    county(session)
    for number in NUMBERS:
        late = 40 - 10 * number
        house(session, number, "holding tank")
        visit(session, number, TODAY - timedelta(days=365 + late))
        row = session.get_one(SiteRow, number)
        row.firm_id = 1 + number % 2
        row.jurisdiction_id = 1 if number <= 6 else 2
    session.flush()
    recompute_due(session, TODAY)
    return session


def sites(rows) -> list[str]:
    return [one.site for one in rows]


def names(*numbers: int) -> list[str]:
    return [f"S-{number}" for number in numbers]


def test_the_due_list_comes_oldest_first_with_the_rule_behind_each(here):
    rows = due_page(here, ALL, TODAY, 30)
    assert sites(rows) == names(1, 2, 3, 4, 5, 6, 7)
    first = rows[0]
    assert (first.days_overdue, first.task, first.rule) == (
        30,
        "inspection",
        "default-holding-tank",
    )
    assert first.source.startswith("House default")
    assert rows[-1].days_overdue == -30
    assert first.system == "holding tank"


def test_pages_follow_on_without_gap_or_repeat(here):
    seen, after = [], None
    while page := due_page(here, ALL, TODAY, 30, after, limit=2):
        seen += sites(page)
        after = (page[-1].due_on, page[-1].obligation_id)
    assert seen == names(1, 2, 3, 4, 5, 6, 7)


def test_a_page_of_several_jurisdictions_is_in_one_order(here):
    both = Scope(None, (2, 1))
    assert sites(due_page(here, both, TODAY, 60, limit=9)) == names(*range(1, 10))
    assert sites(due_page(here, Scope(1, (1,)), TODAY, 60)) == names(2, 4, 6)
    assert due_page(here, Scope(None, ()), TODAY, 60) == []


def test_counts_agree_with_the_pages(here):
    assert count_due(here, ALL, TODAY, 30) == 7
    assert count_overdue(here, ALL, TODAY) == 3
    assert count_overdue_systems(here, ALL, TODAY) == 3
    assert count_overdue(here, Scope(2), TODAY) == 2
    assert count_overdue_systems(here, Scope(None, (2,)), TODAY + timedelta(days=31)) == 1


def test_days_of_grace_put_off_when_something_is_overdue_and_not_the_due_date(here):
    for kind in (ObligationRow, SystemDueRow):
        here.query(kind).filter_by(site_id=1).update({"grace_days": 30})
        here.query(kind).filter_by(site_id=2).update({"grace_days": 19})
    here.flush()
    assert count_overdue(here, ALL, TODAY) == count_overdue_systems(here, ALL, TODAY) == 2
    assert sites(overdue_page(here, ALL, TODAY)) == names(2, 3)
    assert sites(due_page(here, ALL, TODAY, 0)) == names(1, 2, 3, 4)
    assert count_overdue(here, ALL, TODAY + timedelta(days=1)) == 4


def test_the_overdue_list_can_be_narrowed(here):
    add(
        here,
        FloodFactRow(site_id=1, in_hazard_area=True, below_bfe=True),
        FloodFactRow(site_id=2, in_hazard_area=False),
    )
    assert sites(overdue_page(here, ALL, TODAY, limit=2)) == names(1, 2)
    second = overdue_page(here, ALL, TODAY, limit=2)[-1]
    after = (second.due_on, second.system_id)
    assert sites(overdue_page(here, ALL, TODAY, after=after)) == names(3)
    for which, expected in (
        (DueFilter(late_days=15), names(1, 2)),
        (DueFilter(in_hazard_area=True), names(1)),
        (DueFilter(in_hazard_area=False), names(2)),
        (DueFilter(kinds=("mound",)), []),
        (DueFilter(kinds=("mound", "holding tank"), firm_id=2), names(1, 3)),
        (DueFilter(jurisdiction_id=2), []),
    ):
        assert sites(overdue_page(here, ALL, TODAY, which)) == expected
        assert count_overdue_systems(here, ALL, TODAY, which) == len(expected)
    assert overdue_page(here, ALL, TODAY)[0].below_bfe is True
    assert overdue_page(here, ALL, TODAY)[2].in_hazard_area is None


def test_a_mark_says_which_share_of_the_interval_has_passed(here):
    marks = {one.site: one for one in marks_in_box(here, ALL, Box(-180, -90, 180, 90), TODAY)}
    assert len(marks) == len(NUMBERS)
    assert marks["S-1"].share_passed == pytest.approx(395 / 365, abs=0.01)
    assert marks["S-4"].share_passed == 1
    assert not marks["S-4"].overdue
    assert marks["S-12"].share_passed == pytest.approx(285 / 365, abs=0.01)


def test_a_box_holds_what_lies_on_its_edge(here):
    edge = Box(LON + 3 * STEP_DEG, LAT, LON + 5 * STEP_DEG, LAT)
    assert sorted(sites(marks_in_box(here, ALL, edge, TODAY))) == names(3, 4, 5)
    late = DueFilter(late_days=0)
    assert sites(marks_in_box(here, ALL, edge, TODAY, late)) == names(3)


def test_the_nearest_come_by_distance_whoever_they_belong_to_or_only_ones_own(here):
    place = LonLat(LON + 6.2 * STEP_DEG, LAT)
    assert sites(nearest(here, ALL, place, TODAY, limit=4)) == names(6, 7, 5, 8)
    assert sites(nearest(here, Scope(1), place, TODAY, limit=2)) == names(6, 8)
    late = DueFilter(late_days=0)
    assert sites(nearest(here, ALL, place, TODAY, late, limit=20)) == names(3, 2, 1)


def tile_at(zoom: int, lon: float = LON, lat: float = LAT) -> tuple[int, int, int]:
    return cells.tile_at(LonLat(lon, lat), zoom)


def test_a_tile_far_away_counts_systems_and_overdue_ones_in_squares(here):
    for zoom in (0, 5, 8, 9):
        rows = tile_made(here, ALL, tile_at(zoom), TODAY)
        assert not rows.marks
        assert sum(one.n for one in rows.squares) == len(NUMBERS)
        assert sum(one.n_overdue for one in rows.squares) == 3
    rows = tile_made(here, Scope(2, (1,)), tile_at(8), TODAY + timedelta(days=30))
    assert (rows.squares[0].n, rows.squares[0].n_overdue) == (3, 3)
    assert tile_made(here, ALL, tile_at(5, lon=20.0), TODAY).squares == ()


def test_a_square_says_how_many_of_all_are_late_by_the_days_of_the_filter(here):
    for zoom, most in ((7, 3000), (10, 0)):
        tile = tile_at(zoom)
        all_here = tile_made(here, ALL, tile, TODAY, most=most).squares
        late = tile_made(here, ALL, tile, TODAY, DueFilter(late_days=0), most=most).squares
        later = tile_made(here, ALL, tile, TODAY, DueFilter(late_days=25), most=most).squares
        assert late == all_here
        assert [one.n for one in later] == [one.n for one in all_here]
        assert [sum(one.n_overdue for one in rows) for rows in (late, later)] == [3, 1]


def test_the_squares_of_a_filter_count_only_what_passes_it(here):
    none = DueFilter(in_hazard_area=True)
    assert tile_made(here, ALL, tile_at(7), TODAY, none).squares == ()


def test_squares_follow_a_site_that_moves_or_goes(here):
    row = here.get_one(SiteRow, 1)
    row.lon = 10.0
    here.get_one(SiteRow, 2).active = False
    here.flush()
    recompute_due(here, TODAY, [1, 2])
    assert sum(one.n for one in tile_made(here, ALL, tile_at(8), TODAY).squares) == 10
    far = tile_made(here, ALL, tile_at(8, lon=10.0), TODAY).squares
    assert [(one.n, one.n_overdue) for one in far] == [(1, 1)]


def test_a_near_tile_shows_marks_or_squares_where_there_are_too_many(here):
    for zoom in (10, 15):
        tile = tile_at(zoom, LON + 6 * STEP_DEG)
        marks = marks_of(tile_made(here, ALL, tile, TODAY))
        inside = [n for n in NUMBERS if tile_at(zoom, LON + n * STEP_DEG) == tile]
        assert set(names(*inside)) <= set(marks)
        squares = tile_made(here, ALL, tile, TODAY, most=len(inside) - 1).squares
        assert sum(one.n for one in squares) == len(inside) > 0


def marks_of(made: TileRows | bytes) -> dict[str, dict[str, Any]]:
    """What a tile says of each mark, by site, as the map reads it; PostGIS makes the whole tile."""
    if isinstance(made, TileRows):
        return {one["site"]: one for _, one in points_of(made)}
    layers = mapbox_vector_tile.decode(made)
    features = layers.get("systems", {"features": []})["features"]
    return {one["properties"]["site"]: one["properties"] for one in features}


def test_a_mark_in_a_tile_says_the_same_whoever_made_it(here):
    tile = tile_at(11, LON + 2 * STEP_DEG)
    scope = Scope(None, (1,))
    found = marks_of(tile_made(here, scope, tile, TODAY))
    assert isinstance(tile_made(here, ALL, tile, TODAY, most=1), TileRows)
    marks = {one.site: one for one in marks_in_box(here, scope, Box(-180, -90, 180, 90), TODAY)}
    assert {"S-2"} <= found.keys() <= marks.keys()
    for site, said in found.items():
        mark = marks[site]
        assert said["share_passed"] == pytest.approx(mark.share_passed)
        assert (said["overdue"], said["days_overdue"]) == (mark.overdue, mark.days_overdue)
        assert (said["task"], said["due_on"]) == (mark.task, mark.due_on.isoformat())
        assert "in_hazard_area" not in said


def test_a_tile_and_its_middle_belong_together():
    zoom, column, row = tile_at(12)
    west, south, east, north = tile_box(zoom, column, row)
    assert west <= LON < east
    assert south < LAT <= north
    middle = centre_of(zoom, column, row)
    assert tile_at(12, middle.lon, middle.lat) == (zoom, column, row)


def test_a_viewer_sees_what_is_theirs():
    assert scope_of(Viewer(name="c", role=Role.COUNTY, jurisdiction_ids=(3, 4))) == Scope(
        None, (3, 4)
    )
    assert scope_of(Viewer(name="d", role=Role.DISPATCHER, firm_id=2)) == Scope(2)
    assert scope_of(Viewer(name="a", role=Role.ADMINISTRATOR)) == Scope()
    assert scope_of(Viewer(name="t", role=Role.TECHNICIAN)) == Scope(None, ())
    assert Scope(None, (3, 4)).narrowed(None, 5) == Scope(None, ())
    assert Scope(2).narrowed(3, None) == Scope(3, ())
    assert Scope().narrowed(3, 5) == Scope(3, (5,))
