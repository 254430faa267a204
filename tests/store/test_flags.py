"""Flood flags on both stores: the same answers, points on edges included."""

from datetime import UTC, datetime

import pytest
import shapely
from click.testing import CliRunner

from registry.services.flag_sites import flag_sites
from registry.store import Session
from registry.store.flood_facts import facts_of_sites
from registry.store.tables import BfeLineRow, ComponentRow, FloodAreaRow
from tests.store.due_rows import add, county, house

NOW = datetime(2026, 6, 15, 12, tzinfo=UTC)
WEST, SOUTH, EAST, NORTH = -97.30, 40.20, -97.20, 40.30
MIDDLE = (WEST + EAST) / 2, (SOUTH + NORTH) / 2


def place(number: int, lon: float | None, lat: float | None) -> dict[str, object]:
    return {"site": {"lon": lon, "lat": lat}}


@pytest.fixture
def here(session: Session) -> Session:
    """One AE square, one X square around it; sites in, out, on the edge, on a corner, nowhere."""
    county(session)
    ae, wide = shapely.box(WEST, SOUTH, EAST, NORTH), shapely.box(-98, 40, -97, 41)
    add(
        session,
        FloodAreaRow(
            source_key="a", zone="AE", sfha=True, static_bfe_ft=100.0, datum="NAVD88", geom=ae
        ),
        FloodAreaRow(source_key="x", zone="X", sfha=False, geom=wide.difference(ae)),
    )
    for number, (lon, lat) in enumerate(
        [MIDDLE, (-97.5, 40.5), (WEST, MIDDLE[1]), (EAST, NORTH), (WEST - 1e-7, SOUTH), (-99, 40)]
    ):
        house(session, number + 1, **place(number, lon, lat))
    house(session, 7, **place(7, None, None))
    add(
        session,
        ComponentRow(
            system_id=1, kind="control panel", elevation_ft=101.4, elevation_datum="NAVD88"
        ),
        ComponentRow(
            system_id=1, kind="lid", label="Lid 2", elevation_ft=98.5, elevation_datum="NAVD88"
        ),
        ComponentRow(
            system_id=3, kind="control panel", elevation_ft=101.4, elevation_datum="NGVD29"
        ),
    )
    return session


def test_both_stores_answer_alike_and_an_edge_is_inside(here):
    counts = flag_sites(here, NOW)
    assert counts == {"sites": 7, "in_hazard_area": 3, "unknown": 4, "below_bfe": 1}
    facts = facts_of_sites(here, range(1, 8))
    sides = {number: (one.zone, one.in_hazard_area) for number, one in facts.items()}
    assert sides == {
        1: ("AE", True),
        2: ("X", False),
        3: ("AE", True),
        4: ("AE", True),
        5: ("X", False),
        6: ("", None),
        7: ("", None),
    }
    assert {number for number, one in facts.items() if one.near_edge} == {3, 4, 5}
    assert facts[5].edge_m == pytest.approx(0.0085, abs=0.001)
    assert facts[3].edge_m == pytest.approx(0, abs=1e-6)
    assert facts[1].flagged_at == NOW


def test_the_lowest_part_decides_and_another_datum_is_unknown(here):
    flag_sites(here, NOW)
    facts = facts_of_sites(here, [1, 3])
    assert facts[1].bfe.value_ft == 100.0
    assert facts[1].below_bfe is True
    assert facts[1].lowest_freeboard_ft == pytest.approx(-1.5)
    assert facts[1].lowest_component == "Lid 2"
    assert facts[3].below_bfe is None
    assert "datum" in facts[3].unknown_why


def test_flagging_some_sites_leaves_the_others_as_they_are(here):
    flag_sites(here, NOW)
    here.query(FloodAreaRow).filter_by(zone="AE").delete()
    here.flush()
    later = datetime(2026, 7, 1, tzinfo=UTC)
    assert flag_sites(here, later, [1])["sites"] == 1
    facts = facts_of_sites(here, [1, 3])
    assert (facts[1].in_hazard_area, facts[3].in_hazard_area) == (False, True)
    assert (facts[1].flagged_at, facts[3].flagged_at) == (later, NOW)


def test_between_base_flood_elevation_lines_the_height_is_interpolated(here):
    """FEMA, Guide to Flood Insurance Rate Maps (1988) p. 29: half way from 108 to 109 is 108.5."""
    here.query(FloodAreaRow).update({"static_bfe_ft": None})
    for feet, lat in ((108.0, SOUTH), (109.0, NORTH)):
        line = shapely.LineString([(WEST, lat), (EAST, lat)])
        add(here, BfeLineRow(source_key=f"{feet}", elevation_ft=feet, datum="NAVD88", geom=line))
    flag_sites(here, NOW, [1])
    assert facts_of_sites(here, [1])[1].bfe.value_ft == pytest.approx(108.5, abs=0.01)


def test_without_any_layer_all_is_unknown(session):
    county(session)
    house(session, 1)
    assert flag_sites(session, NOW) == {
        "sites": 1,
        "in_hazard_area": 0,
        "unknown": 1,
        "below_bfe": 0,
    }
    assert facts_of_sites(session, [1])[1].unknown_why == "no flood layer was imported"


def test_the_command_prints_counts_and_that_this_is_no_determination(store, store_url):
    from registry.cli.flag import command

    with store.session() as session:
        county(session)
        house(session, 1)
    done = CliRunner().invoke(command, ["S-1", "--store", store_url])
    assert done.exit_code == 0
    assert done.stdout.startswith("1 sites: 0 in a special flood hazard area")
    assert "Not a flood determination" in done.stderr
    wrong = CliRunner().invoke(command, ["S-9", "--store", store_url])
    assert "There is no site with the number S-9" in str(wrong.exception)
