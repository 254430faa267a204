"""Sites as files: every kind of file, and no private field for the county."""

import csv
import io
import json

import pytest

from registry.records.changes import Role, Viewer
from registry.services.take_out import take_out_sites
from registry.store import Session
from tests.store.rows import firm, jurisdiction, site

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


@pytest.mark.parametrize("ending", ["csv", "geojson", "gpkg"])
def test_no_private_field_leaves_for_the_county(session: Session, ending: str) -> None:
    site(session, "A-1", **PRIVATE)
    body = take_out_sites(session, clerk(session), ending).body
    assert b"A-1" in body
    assert [value for value in (*PRIVATE, *PRIVATE.values()) if value.encode() in body] == []
