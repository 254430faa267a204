"""Closed roads on the Day page: who may close what, what is shown, what is refused in words."""

import io
import json
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from markupsafe import escape

from registry.records.changes import Role, Viewer
from registry.services.closures import list_closures
from registry.services.make_demo import county_today
from registry.services.plan_day import DayOrder, Search, plan_day
from registry.services.run_day import Reordering, reorder
from registry.services.what_if import Wishes, what_if
from registry.store import names
from tests.pages.visitors import DAY, MIDDLE, OWN, Client

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from registry.records.closures import Closure
    from registry.wiring import Parts

OFFICE = Viewer(name="a test", role=Role.ADMINISTRATOR)
LON, LAT = MIDDLE
LINE = f"{LON}, {LAT}\n{LON + 0.001}, {LAT}"


def close(who: "FlaskClient", **fields: object) -> "TestResponse":
    return who.post(f"/day/{DAY}/close", data=fields, headers=OWN)


def kept(parts: "Parts") -> "list[Closure]":
    with parts.store.reading() as session:
        return list_closures(session, OFFICE)


@pytest.fixture(autouse=True)
def nothing_left(client: Client, parts: "Parts") -> None:
    for one in kept(parts):
        client("dispatcher").post(f"/day/{DAY}/lift", data={"closure": one.id}, headers=OWN)


def test_a_road_is_closed_by_name_shown_and_opened_again(client: Client, parts: "Parts") -> None:
    office = client("dispatcher")
    answer = close(office, kind="road", road="Thane Road", until="2026-06-20", why="high water")
    assert answer.status_code == 302
    page = office.get(f"/day/{DAY}").text
    assert "Thane Road</strong>, closed from 9 Jun 2026 to 20 Jun 2026: high water." in page
    told = office.get(f"/day/{DAY}/closed.geojson").get_json()
    assert [one["properties"]["name"] for one in told["features"]] == ["Thane Road"]
    assert told["features"][0]["geometry"]["type"] == "MultiLineString"
    (one,) = kept(parts)
    office.post(f"/day/{DAY}/lift", data={"closure": one.id}, headers=OWN)
    assert "None is recorded for this date." in office.get(f"/day/{DAY}").text


def test_a_piece_between_two_cross_streets_is_closed(client: Client, parts: "Parts") -> None:
    close(
        client("dispatcher"),
        kind="road",
        road="Main Street",
        begins="Elm Avenue",
        ends="Ivy Avenue",
    )
    (one,) = kept(parts)
    assert one.name == "Main Street from Elm Avenue to Ivy Avenue"
    assert 0 < one.shape.length < 0.02


@pytest.mark.parametrize("shape", ["line", "area"])
def test_points_make_a_line_or_an_area(client: Client, parts: "Parts", shape: str) -> None:
    points = LINE + f"\n{LON}, {LAT + 0.001}"
    close(client("dispatcher"), kind="drawn", name="the dip", shape=shape, points=points)
    (one,) = kept(parts)
    assert one.shape.geom_type == {"line": "LineString", "area": "Polygon"}[shape]


def test_hours_without_a_last_day_hold_on_the_day_of_the_page(
    client: Client, parts: "Parts"
) -> None:
    close(client("dispatcher"), kind="drawn", name="dip", points=LINE, hours="08:00-12:00")
    (one,) = kept(parts)
    assert (one.first_on, one.last_on, one.hours) == (one.first_on, one.first_on, (480, 720))


def test_a_day_is_ordered_changed_and_asked_about_by_the_hours_of_its_roads(
    client: Client, parts: "Parts"
) -> None:
    office, on_date = client("dispatcher"), county_today()
    close(office, kind="road", road="Thane Road", hours="10:30-24:00")
    search = Search(rounds=60)
    with parts.store.reading() as session:
        (firm_id,) = names.firm_ids(session).values()
    wanted = DayOrder(
        firm_id=firm_id, on_date=on_date, search=search, made_by="a test", now=parts.now()
    )
    with parts.roads() as roads:
        day = plan_day(parts.store, roads, parts.solver(), wanted)
        assert [one.name for one in day.closed_hours] == ["Thane Road"]
        drives = [one for route in day.routes for one in route.stops if one.roads]
        assert any("Thane Road" in said for one in drives for said in one.roads)
        page = office.get(f"/day/{DAY}").text
        assert "Roads closed: Thane Road 10:30–24:00." in page
        assert "Thane Road closed 10:30–24:00</text>" in page
        assert str(escape(drives[0].roads[0])) in page
        # Another road closes while the day runs; what is on the way by then stays as it was.
        close(office, kind="road", road="Brindle Creek Road", hours="11:00-15:00")
        asked = Reordering(at_min=10 * 60, rounds=20)
        again = reorder(parts.store, roads, parts.repairer(), OFFICE, on_date, asked, parts.now())
        assert [one.name for one in again.day.closed_hours] == ["Thane Road", "Brindle Creek Road"]
        more = replace(kept(parts)[0], id=0, name="Mill Bridge", hours=(13 * 60, 14 * 60))
        told = what_if(
            parts.store,
            roads,
            parts.repairer(),
            firm_id,
            on_date,
            Wishes(closed=(more,), rounds=20),
            parts.now(),
        )
        assert len(told.routes) == len(day.routes)


def test_a_file_closes_all_its_features_or_none(client: Client, parts: "Parts") -> None:
    good = {"type": "Feature", "properties": {"name": "A <b>"}, "geometry": {
        "type": "LineString", "coordinates": [[LON, LAT], [LON, LAT + 0.01]]}}  # fmt: skip
    point = {**good, "geometry": {"type": "Point", "coordinates": [LON, LAT]}}
    for features, count in (([good, point], 0), ([good, good], 2)):
        body = json.dumps({"type": "FeatureCollection", "features": features}).encode()
        answer = close(client("dispatcher"), kind="file", file=(io.BytesIO(body), "c.geojson"))
        assert len(kept(parts)) == count
        if not count:
            assert "c.geojson, row 2: a closure is a line or an area" in answer.text
    assert "A &lt;b&gt;</strong>" in client("dispatcher").get(f"/day/{DAY}").text


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"kind": "road", "road": "Nowhere Road"}, "No road of the imported network is called"),
        ({"kind": "road", "road": ""}, "Say which road"),
        ({"kind": "drawn", "name": "", "points": LINE}, "Give the closure a name"),
        ({"kind": "drawn", "name": "dip", "points": "12"}, "Point 1, “12”, is not a longitude"),
        ({"kind": "drawn", "name": "dip", "points": "1, 2"}, "at least 2 different points"),
        ({"kind": "drawn", "name": "dip", "points": LINE, "hours": "noon"}, "names no hours"),
        ({"kind": "drawn", "name": "dip", "points": LINE, "until": "2026-01-01"}, "cannot end"),
        ({"kind": "file", "file": (io.BytesIO(b"no"), "c.geojson")}, "c.geojson is no JSON"),
        ({"kind": "file"}, "choose a file"),
        ({}, "Name a road"),
    ],
)
def test_what_cannot_be_closed_is_said_and_nothing_is_kept(
    client: Client, parts: "Parts", fields: dict[str, object], said: str
) -> None:
    answer = close(client("dispatcher"), **fields)
    assert 400 <= answer.status_code < 500
    assert said in answer.text
    assert kept(parts) == []


@pytest.mark.parametrize("role", ["technician", "county"])
def test_only_the_office_closes_roads(client: Client, parts: "Parts", role: str) -> None:
    assert close(client(role), kind="drawn", name="dip", points=LINE).status_code == 403
    answer = client(role).post(f"/day/{DAY}/lift", data={"closure": 1}, headers=OWN)
    assert answer.status_code == 403
    assert kept(parts) == []


def test_a_technician_sees_what_is_closed_without_the_forms(client: Client) -> None:
    close(client("dispatcher"), kind="drawn", name="the dip", points=LINE)
    page = client("technician").get(f"/day/{DAY}").text
    assert "the dip</strong>, closed" in page
    assert "Close a road" not in page
    assert "Open again" not in page


def test_a_closure_from_another_site_is_refused(client: Client, parts: "Parts") -> None:
    answer = client("dispatcher").post(
        f"/day/{DAY}/close",
        data={"kind": "drawn", "name": "dip", "points": LINE},
        headers={"Sec-Fetch-Site": "cross-site"},
    )
    assert answer.status_code == 403
    assert kept(parts) == []
