"""Files out: each is what its ending says, by the libraries that read such files."""

import csv
import io
import json
from pathlib import Path

import pytest
from icalendar import Calendar
from lxml import etree, html

from tests.pages.visitors import DAY, Client
from tests.unit.exports.test_day_map import loads

TYPES = {
    "csv": "text/csv; charset=utf-8",
    "geojson": "application/geo+json",
    "gpkg": "application/geopackage+sqlite3",
    "gpx": "application/gpx+xml",
    "ics": "text/calendar; charset=utf-8",
    "html": "text/html; charset=utf-8",
}
"""IANA's media types: RFC 4180 (csv), RFC 7946 (geojson), RFC 5545 (ics); OGC 12-128 (gpkg); for
gpx none is registered, the usual one is used (from memory)."""
FILES = [
    *((f"/files/day/{DAY}", ending) for ending in ("csv", "geojson", "gpx", "ics", "html")),
    *(("/files/overdue", ending) for ending in ("csv", "geojson", "gpkg", "gpx", "html")),
    *(("/files/sites", ending) for ending in ("csv", "geojson", "gpkg")),
]


@pytest.mark.parametrize(("name", "ending"), FILES)
def test_a_file_has_the_type_of_its_ending_and_is_offered_to_be_saved(
    client: Client, name: str, ending: str
) -> None:
    answer = client("dispatcher").get(f"{name}.{ending}")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == TYPES[ending]
    saved = answer.headers["Content-Disposition"]
    assert saved.startswith("attachment; filename=")
    assert saved.endswith(f'.{ending}"')
    assert len(answer.data) > 500


def test_a_stand_alone_map_loads_nothing_has_roads_inside_and_can_be_mailed(
    client: Client,
) -> None:
    """The bar of this project: 400 kB."""
    for name in (f"/files/day/{DAY}.html", "/files/overdue.html"):
        text = client("dispatcher").get(name).text
        assert loads(text) == []
        assert len(text.encode()) <= 400_000
        assert '"kind": "road"' in text
        assert '"kind": "waterway"' in text
        page = html.fromstring(text)
        assert page.xpath("//main//tbody/tr")


def test_a_day_as_gpx_is_valid_and_has_a_way_for_each_technician(
    client: Client, reference_data: Path
) -> None:
    """TopoGrafix, GPX 1.1 schema (gpx.xsd), from the folder of published data."""
    schema = etree.XMLSchema(etree.parse(str(reference_data / "data/formats/gpx-1.1.xsd")))
    for path in (f"/files/day/{DAY}.gpx", "/files/overdue.gpx"):
        schema.assertValid(etree.fromstring(client("dispatcher").get(path).data))


def test_a_calendar_reads_back_with_one_event_for_each_stop(client: Client) -> None:
    rows = list(csv.DictReader(io.StringIO(client("dispatcher").get(f"/files/day/{DAY}.csv").text)))
    events = Calendar.from_ical(client("dispatcher").get(f"/files/day/{DAY}.ics").data)
    stops = [row for row in rows if row["arrives"] and row["lat"]]  # lunch has no place
    assert len(events.walk("VEVENT")) == len(stops) > 20


def test_geojson_holds_points_in_the_order_longitude_latitude(client: Client) -> None:
    found = json.loads(client("county").get("/files/overdue.geojson").data)["features"]
    for one in found:
        if one["geometry"] is not None:
            lon, lat = one["geometry"]["coordinates"]
            assert -141 < lon < -139 < 44 < lat < 46


def test_a_geopackage_opens_with_the_rows_of_the_table(client: Client, tmp_path: Path) -> None:
    import pyogrio

    file = tmp_path / "overdue.gpkg"
    file.write_bytes(client("county").get("/files/overdue.gpkg").data)
    layer = pyogrio.read_dataframe(file, layer=0)
    rows = list(csv.DictReader(io.StringIO(client("county").get("/files/overdue.csv").text)))
    assert sorted(layer["site"]) == sorted(row["site"] for row in rows)
    assert layer.crs.to_epsg() == 4326


def test_a_download_holds_what_the_filters_of_the_map_name(client: Client) -> None:
    def sites(asked: str) -> set[str]:
        text = client("county").get(f"/files/overdue.csv{asked}").text
        return {row["site"] for row in csv.DictReader(io.StringIO(text))}

    every, wet, late = sites(""), sites("?zone=in"), sites("?late=90")
    assert wet < every
    assert late < every
    assert sites("?zone=in&late=90") == wet & late


def test_the_file_of_one_technician_holds_that_route_only(client: Client) -> None:
    answer = client("dispatcher").get(f"/files/day/{DAY}.gpx?technician=1")
    tracks = etree.fromstring(answer.data).findall("{*}trk")
    assert len(tracks) == 1
    assert answer.headers["Content-Disposition"].endswith('.gpx"')
