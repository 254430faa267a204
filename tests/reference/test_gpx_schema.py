"""TopoGrafix, GPX 1.1 schema (gpx.xsd), from the folder of published data."""

from pathlib import Path

import pytest
from lxml import etree

from registry.records.places import LonLat
from registry.report.day_gpx import day_gpx
from tests.build import day, route, stop


@pytest.fixture
def schema(reference_data: Path) -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(str(reference_data / "data/formats/gpx-1.1.xsd")))


def test_a_day_is_valid_gpx(schema: etree.XMLSchema) -> None:
    line = (LonLat(-140.0, 45.0), LonLat(-140.1, 45.1))
    out = day_gpx(day(route(stop(place="Ann & Co <gate>"), stop("A-2", 11), line=line)))
    schema.assertValid(etree.fromstring(out))


def test_a_day_without_routes_is_valid_gpx(schema: etree.XMLSchema) -> None:
    schema.assertValid(etree.fromstring(day_gpx(day())))


@pytest.mark.parametrize("name", ["route.gpx", "unicode_with_bom.gpx"])
def test_the_schema_refuses_other_gpx(
    schema: etree.XMLSchema, reference_data: Path, name: str
) -> None:
    assert not schema.validate(etree.parse(str(reference_data / "data/formats" / name)))


def test_positions_are_latitude_and_longitude_in_their_own_attributes() -> None:
    found = etree.fromstring(day_gpx(day(route(stop(lon_lat=LonLat(-140.5, 45.25)))))).find(
        "{*}wpt"
    )
    assert found is not None
    assert (found.get("lat"), found.get("lon")) == ("45.2500000", "-140.5000000")
