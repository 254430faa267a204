"""Map cells: numbered so that a tile is one range, also in a store that was made before."""

import itertools

import numpy as np
from sqlalchemy import text

from registry.records.places import LonLat
from registry.services.recompute_due import recompute_due
from registry.store import Session, Store
from registry.store.cells import (
    CELL_ZOOM,
    cells_in,
    cells_of,
    centre_of,
    squares_at,
    tile_at,
)
from registry.store.migrate import downgrade, upgrade
from registry.store.tables import SiteRow, SystemDueRow
from tests.store.due_rows import LAT, LON, STEP_DEG, county, house, visit
from tests.store.rows import NOW


def test_a_cell_is_the_quadkey_of_its_tile_read_in_base_four() -> None:
    """The published example: column 3, row 5 of zoom 3 has the quadkey 213.

    "Bing Maps Tile System", Microsoft, section "Tile Coordinates and Quadkeys", from memory.
    """
    first, last = cells_in(3, 3, 5)
    assert first >> 2 * (CELL_ZOOM - 3) == last >> 2 * (CELL_ZOOM - 3) == int("213", 4)
    columns, rows = squares_at(np.array([int("213", 4)]))
    assert (int(columns[0]), int(rows[0])) == (3, 5)


def test_the_tiles_of_a_zoom_share_out_all_cells() -> None:
    for zoom in (0, 1, 4):
        count = 1 << zoom
        ranges = sorted(cells_in(zoom, x, y) for x in range(count) for y in range(count))
        assert ranges[0][0] == 0
        assert ranges[-1][1] == 4**CELL_ZOOM - 1
        assert all(b[0] == a[1] + 1 for a, b in itertools.pairwise(ranges))


def test_a_place_lies_in_the_cells_of_each_tile_around_it() -> None:
    chance = np.random.default_rng(3)
    lon, lat = chance.uniform(-180, 180, 200), chance.uniform(-89, 89, 200)
    for number, place in zip(
        cells_of(lon, lat).tolist(), map(LonLat, lon.tolist(), lat.tolist()), strict=True
    ):
        for zoom in (0, 6, 11, CELL_ZOOM):
            first, last = cells_in(*tile_at(place, zoom))
            assert first <= number <= last
    assert cells_of(np.array([np.nan]), np.array([1.0])).tolist() == [-1]


def test_the_middle_of_a_square_lies_in_it() -> None:
    number = cells_of(np.array([LON]), np.array([LAT]))
    columns, rows = squares_at(number)
    middle = centre_of(CELL_ZOOM, int(columns[0]), int(rows[0]))
    assert cells_of(np.array([middle.lon]), np.array([middle.lat])) == number


def test_a_store_of_before_gets_the_cells_towns_and_kinds_that_computing_again_gives(
    store: Store,
) -> None:
    with store.session() as session:
        county(session)
        for number in range(1, 6):
            house(session, number, "holding tank")
            visit(session, number, NOW.date())
            session.get_one(SiteRow, number).town = f"Town {number % 2}"
        place = session.get_one(SiteRow, 5)
        place.lon = place.lat = None
        session.flush()
        recompute_due(session, NOW.date())
        before = _kept(session)
    downgrade(store, "0022")
    with store.session() as session:
        cell = session.scalar(text("SELECT cell FROM system_due WHERE system_id = 1"))
        _, column, row = tile_at(LonLat(LON + STEP_DEG, LAT), 12)
        assert cell == (column << 12) + row
    upgrade(store)
    with store.session() as session:
        assert _kept(session) == before
        assert {one[1] for one in before} == {"Town 0", "Town 1"}
        if store.dialect == "postgresql":
            assert session.scalar(text("SELECT sum(n) FROM due_grid")) == 4


def _kept(session: Session) -> list[tuple[int | None, str, str]]:
    rows = session.query(SystemDueRow).order_by(SystemDueRow.system_id)
    return [(one.cell, one.town, one.kind) for one in rows]
