"""Sites as files: every kind of file, and no private field for the county."""

import csv
import io
import json
import re
import zipfile
from pathlib import Path

import pytest

from registry.records.changes import Role, Viewer
from registry.services.take_out import take_out_sites
from registry.store import Session, Store
from tests.store.importing import bring, counts, systems, table_counts
from tests.store.rows import firm, jurisdiction, site
from tests.unit.imports import files

PRIVATE = {"gate_code": "4711", "owner_phone": "555-0100", "private_note": "key under the pot"}


def boss(session: Session) -> Viewer:
    return Viewer(name="office", role=Role.ADMINISTRATOR, firm_id=firm(session))


def clerk(session: Session) -> Viewer:
    return Viewer(name="clerk", role=Role.COUNTY, jurisdiction_ids=(jurisdiction(session),))


def test_a_site_is_a_row_with_its_position_and_its_system(session: Session) -> None:
    site(session, "A-1", town="Nowhere", **PRIVATE)
    body = take_out_sites(session, boss(session), "csv").body.decode()
    (row,) = csv.DictReader(io.StringIO(body))
    said = [row[name] for name in ("key", "lon", "lat", "town", "kind", "gate_code")]
    assert said == ["A-1", "-140.5", "44.5", "Nowhere", "mound", "4711"]


def test_a_site_without_a_position_has_a_null_geometry(session: Session) -> None:
    site(session, "A-1", at=None, address="1 Lane")
    body = take_out_sites(session, boss(session), "geojson").body
    (feature,) = json.loads(body)["features"]
    assert feature["geometry"] is None
    assert feature["properties"]["key"] == "A-1"


SITES = (
    "key,lon,lat,address,hazards,owner_phone,water_available_gal,season_from,season_to,active,"
    "system_key,kind,bedrooms,installed_on\n"
    "A-1,-140.5,44.5,1 Lane,dog: loose; bees,+1 555 0100,30,05-01,10-15,yes,A,mound,3,2001-05-06\n"
    "A-1,-140.5,44.5,1 Lane,dog: loose; bees,+1 555 0100,30,05-01,10-15,yes,B,an old pit,,\n"
    'A-2,,,"2 Lane, “North”",,- call first,,,,no,,gravity,,\n'
    "A-2,-140.123456789,44.4,2 Lane,,,,,,yes,,gravity,,\n"
)


@pytest.mark.parametrize("ending", ["csv", "geojson", "gpkg", "zip"])
def test_a_file_that_was_taken_out_changes_nothing_when_it_comes_in_again(
    store: Store, tmp_path: Path, ending: str
) -> None:
    first = bring(store, files.csv(tmp_path, SITES))
    assert counts(first) == (4, 4, 0, 0, 0)
    assert set(systems(store)) == {"A-1/A", "A-1/B", "A-2", "A-2 (2)"}
    before = table_counts(store)
    with store.reading() as session:
        office = Viewer(name="office", role=Role.ADMINISTRATOR, firm_id=1)
        out = take_out_sites(session, office, ending)
    path = tmp_path / out.name
    path.write_bytes(out.body)
    how = {}
    if ending == "zip":
        with zipfile.ZipFile(path) as archive:
            mapped = archive.read("sites.map.toml").decode()
        how = {"map_path": files.csv(tmp_path, mapped, "map.toml")}
    assert counts(bring(store, path, **how)) == (4, 0, 0, 4, 0)
    assert table_counts(store) == before


@pytest.mark.parametrize("ending", ["csv", "geojson", "gpkg", "zip"])
def test_no_private_field_leaves_for_the_county(session: Session, ending: str) -> None:
    site(session, "A-1", **PRIVATE)
    body = take_out_sites(session, clerk(session), ending).body
    if ending == "zip":
        with zipfile.ZipFile(io.BytesIO(body)) as archive:
            body = b"".join(archive.read(one) for one in archive.namelist())
    assert b"A-1" in body
    assert [value for value in (*PRIVATE, *PRIVATE.values()) if value.encode() in body] == []


def test_a_shapefile_lists_its_short_names_and_the_texts_it_had_no_room_for(
    session: Session,
) -> None:
    site(session, "A-1", note="ä" * 200, corner_note="at the gate")
    out = take_out_sites(session, boss(session), "zip")
    with zipfile.ZipFile(io.BytesIO(out.body)) as archive:
        mapped = archive.read("sites.map.toml").decode()
        held = set(archive.namelist())
    assert held >= {"sites.shp", "sites.shx", "sites.dbf", "sites.prj", "sites.cpg"}
    assert 'corner_b_bearing_deg = "corner_b_b"' in mapped
    assert "# note of A-1 is cut at 254 bytes" in mapped
    columns = re.findall(r'= "(.+?)"$', mapped, re.M)
    assert max(map(len, columns)) <= 10
    assert len(set(columns)) == len(columns)
