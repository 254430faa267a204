import re

from registry.exports.day_map import day_map
from registry.records.places import LonLat
from tests.build import day, route, stop, waiting

BASE = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "properties": {"kind": "road"},
            "geometry": {"type": "LineString", "coordinates": [[-140.0, 45.0], [-140.1, 45.1]]},
        }
    ],
}
OUT = day_map(
    day(route(stop("<b>A-1</b>")), waiting=(waiting(lon_lat=LonLat(-140.0, 45.0)),)), BASE
)


def test_the_file_loads_nothing() -> None:
    loads = re.findall(r"""(?:src|href)\s*=\s*["'](?!data:|#)([^"']+)""", OUT)
    assert [one for one in loads if one.startswith("http")] == ["https://leafletjs.com"]
    assert not re.findall(r"<(?:script|img|iframe)[^>]+src=[\"']?(?!data:)", OUT)
    assert "<link" not in OUT
    assert not re.findall(r"url\((?!data:|#)", OUT)


def test_names_cannot_become_markup() -> None:
    assert "<b>A-1</b>" not in OUT


def test_it_stays_small_enough_to_mail() -> None:
    """The bar of this project: 400 kB."""
    assert len(OUT.encode()) <= 400_000


def test_the_credit_of_the_roads_is_in_it() -> None:
    assert "Invented roads &amp; no real place" in OUT
