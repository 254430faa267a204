"""A day in one file: it loads nothing, names stay text, the map comes before the list."""

import re

from lxml import html

from registry.exports.day_map import day_map
from registry.records.places import LonLat
from registry.report.ink import HANDS
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
NASTY = "</script><b>A-1</b>"
OUT = day_map(
    day(
        route(stop(NASTY), initials="A&"),
        route(stop("A-2"), technician_id=2, technician="Other Person", initials="OP"),
        waiting=(waiting("W-1", lon_lat=LonLat(-140.0, 45.0), why=NASTY),),
    ),
    BASE,
)
PAGE = html.fromstring(OUT)


def loads(page: str) -> list[str]:
    """Every address in a page that a browser would ask for."""
    inside = r"(?!data:|#)"
    return [
        *re.findall(
            rf"""<(?:script|img|iframe|source)[^>]+src\s*=\s*["']?{inside}([^"'\s>]+)""", page
        ),
        *re.findall(rf"""<link[^>]+href\s*=\s*["']?{inside}([^"'\s>]+)""", page),
        *re.findall(rf"""url\(\s*["']?{inside}([^)]+)""", page),
        *re.findall(r"@import\s+(\S+)", page),
    ]


def test_the_file_loads_nothing() -> None:
    assert loads(OUT) == []
    assert loads('<script src="https://elsewhere.invalid/a.js">') == [
        "https://elsewhere.invalid/a.js"
    ]


def test_names_cannot_become_markup() -> None:
    assert NASTY not in OUT
    assert not PAGE.xpath("//b[text()='A-1']")
    assert NASTY in PAGE.xpath("string(//main)")


def test_the_map_stands_before_the_list() -> None:
    order = [node.tag for node in PAGE.xpath("//h1 | //*[contains(@class,'folium-map')] | //main")]
    assert order == ["h1", "div", "main"]


def test_routes_are_drawn_as_in_the_chart() -> None:
    assert f'"dashArray": "{HANDS[1].dash}"' in OUT
    assert OUT.count("L.polyline(") == 2


def test_a_reader_may_enlarge_the_page() -> None:
    (said,) = PAGE.xpath("//meta[@name='viewport']/@content")
    assert "user-scalable" not in said


def test_it_stays_small_enough_to_mail() -> None:
    """The bar of this project: 400 kB."""
    assert len(OUT.encode()) <= 400_000


def test_the_credit_of_the_roads_is_in_it() -> None:
    assert "Invented roads &amp; no real place" in OUT


def test_a_day_on_which_nobody_drives_is_a_page_too() -> None:
    page = html.fromstring(day_map(day(waiting=(waiting("W-9"),))))
    assert "W-9" in page.xpath("string(//main)")
