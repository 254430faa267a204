"""Offsets between vertical datums from an imported grid, on both stores."""

import struct
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from shapely import box

from registry.errors import FileError
from registry.records.places import LonLat
from registry.services.datum_offsets import offset_ft
from registry.services.flag_sites import flag_sites
from registry.services.import_offsets import import_offsets
from registry.store import flood_facts
from registry.store.tables import (
    ComponentRow,
    FirmRow,
    FloodAreaRow,
    JurisdictionRow,
    SiteRow,
    SystemRow,
)

if TYPE_CHECKING:
    from registry.store import Session

PLACE = LonLat(-140.0, 45.0)


@pytest.fixture
def grid_file(tmp_path: Path) -> Path:
    """One metre everywhere between 44 and 46 N, 141 and 139 W."""
    path = tmp_path / "one_metre.gtx"
    path.write_bytes(
        struct.pack(">4d2i", 44.0, -141.0, 1.0, 1.0, 3, 3) + struct.pack(">9f", *[1.0] * 9)
    )
    return path


@pytest.fixture
def site(session: "Session") -> int:
    """A site whose panel stands at 100 ft NGVD 29, in a zone AE with a BFE of 101 ft NAVD 88."""
    session.add_all([FirmRow(id=1, name="F"), JurisdictionRow(id=1, name="J")])
    session.flush()
    session.add(SiteRow(id=1, key="A-1", firm_id=1, jurisdiction_id=1, lon=-140.0, lat=45.0))
    session.flush()
    session.add(SystemRow(id=1, site_id=1, kind="mound"))
    session.flush()
    session.add_all(
        [
            ComponentRow(
                system_id=1, kind="control panel", elevation_ft=100.0, elevation_datum="NGVD29"
            ),
            FloodAreaRow(
                source_key="a", zone="AE", sfha=True, static_bfe_ft=101.0, datum="NAVD88",
                geom=box(-140.1, 44.9, -139.9, 45.1),
            ),
        ]
    )  # fmt: skip
    session.flush()
    return 1


def test_without_an_offset_nothing_is_compared(
    session: "Session", site: int, now: datetime
) -> None:
    flag_sites(session, now)
    fact = flood_facts.facts_of_sites(session, [site])[site]
    assert fact.below_bfe is None
    assert "datum" in fact.unknown_why


def test_the_grid_s_offset_makes_the_elevations_comparable(
    session: "Session", site: int, now: datetime, grid_file: Path
) -> None:
    import_offsets(session, grid_file, now)
    flag_sites(session, now)
    fact = flood_facts.facts_of_sites(session, [site])[site]
    assert fact.lowest_freeboard_ft == pytest.approx(100.0 + 1 / 0.3048 - 101.0, abs=1e-6)


def test_what_the_jurisdiction_states_comes_before_the_grid(
    session: "Session", now: datetime, grid_file: Path
) -> None:
    import_offsets(session, grid_file, now)
    assert offset_ft(session, PLACE, 0.2) == 0.2
    assert offset_ft(session, PLACE, None) == pytest.approx(1 / 0.3048)
    assert offset_ft(session, LonLat(-100.0, 45.0), None) is None


def test_the_same_grid_twice_changes_nothing(
    session: "Session", now: datetime, grid_file: Path
) -> None:
    assert import_offsets(session, grid_file, now).added == 1
    assert import_offsets(session, grid_file, now).unchanged == 1


def test_a_file_that_is_no_grid_is_not_kept(
    session: "Session", now: datetime, tmp_path: Path
) -> None:
    (tmp_path / "no.gtx").write_bytes(b"no grid")
    with pytest.raises(FileError):
        import_offsets(session, tmp_path / "no.gtx", now)
    assert offset_ft(session, PLACE, None) is None
