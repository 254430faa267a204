"""Tiles: what they hold, decoded by a library that is not ours, and how long they may be kept."""

import math
import re
from typing import TYPE_CHECKING, Any

import mapbox_vector_tile
import pytest
from flask.testing import FlaskClient

from tests.pages.visitors import Client, tile_at
from web.draw.lid_sprite import lid_name

if TYPE_CHECKING:
    from registry.wiring import Parts


def features(client: FlaskClient, path: str, layer: str = "systems") -> list[dict[str, Any]]:
    answer = client.get(path)
    if answer.status_code == 204:
        return []
    assert answer.headers["Content-Type"] == "application/vnd.mapbox-vector-tile"
    found: list[dict[str, Any]] = mapbox_vector_tile.decode(answer.data)[layer]["features"]
    return found


def test_from_afar_squares_say_how_many_of_all_are_overdue(client: Client) -> None:
    path = f"/tiles/systems/{tile_at(8)}.pbf"
    told = [one["properties"] for one in features(client("county"), path)]
    assert sum(one["n"] for one in told) > 200
    listed = client("county").get("/files/overdue.csv").text.splitlines()[1:]
    placed = [line for line in listed if not line.endswith(",,")]
    assert sum(one["late"] for one in told) == len(placed)
    for one in told:
        assert one["level"] == math.ceil(5 * one["late"] / one["n"])


def test_nearby_every_mark_carries_what_its_ring_shows(client: Client) -> None:
    path = f"/tiles/systems/{tile_at(11)}.pbf?late=all"
    told = [one["properties"] for one in features(client("county"), path)]
    assert len(told) > 10
    for one in told:
        assert {"site_id", "site", "kind", "task"} <= set(one)
        if "due_on" in one:
            assert one["overdue"] == (one["days_overdue"] > 0)
            assert (one["share_passed"] > 1) == (one["days_overdue"] > 0)


def test_the_map_has_a_drawn_mark_for_every_state(client: Client) -> None:
    places = client("").get("/tiles/lids.json").json
    names = {
        lid_name(share, wave, bar)
        for share in (None, *(step / 100 for step in range(400)))
        for wave in (False, True)
        for bar in (False, True)
    }
    assert names == set(places["places"])
    assert set(places["squares"]) == {f"square-{level}" for level in range(6)}
    sheet = client("").get("/tiles/lids.svg")
    assert sheet.headers["Content-Type"].startswith("image/svg+xml")


def test_filters_narrow_a_tile(client: Client) -> None:
    def sites(asked: str) -> set[str]:
        path = f"/tiles/systems/{tile_at(11)}.pbf?{asked}"
        return {one["properties"]["site"] for one in features(client("county"), path)}

    every, mounds = sites("late=all"), sites("late=all&kind=mound")
    assert mounds < every
    assert sites("late=all&zone=in") | sites("late=all&zone=out") <= every
    assert sites("late=0") < every
    assert sites("late=0&place=999") == set()


def test_a_tile_that_did_not_change_is_not_sent_again(client: Client) -> None:
    path = f"/tiles/systems/{tile_at(10)}.pbf"
    first = client("county").get(path)
    again = client("county").get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert (first.status_code, again.status_code, again.data) == (200, 304, b"")
    assert first.headers["Cache-Control"] == "private, no-cache"


def test_the_base_map_is_the_imported_roads_and_water(client: Client) -> None:
    style = client("technician").get("/tiles/style.json").json
    (source,) = style["sources"].values()
    (address,) = source["tiles"]
    assert address.startswith("/tiles/base/")
    assert "invented" in source["attribution"].lower()
    z, x, y = tile_at(12).split("/")
    answer = client("technician").get(address.replace("{z}", z).replace("{x}", x).replace("{y}", y))
    layers = mapbox_vector_tile.decode(answer.data)
    assert {"roads", "waterways"} <= set(layers)
    drawn = {one.get("source-layer") for one in style["layers"]} - {None}
    assert set(layers) <= drawn


def test_the_style_of_the_map_asks_no_other_host(client: Client) -> None:
    text = client("county").get("/tiles/style.json").text
    assert re.findall(r"https?://", text) == []


def test_the_library_is_kept_for_good_and_sent_small(client: Client) -> None:
    page = client("county").get("/county/").text
    (address,) = re.findall(r'src="(/library/[^"]+\.js)"', page)
    packed = client("").get(address, headers={"Accept-Encoding": "gzip"})
    plain = client("").get(address)
    assert packed.headers["Content-Encoding"] == "gzip"
    assert "immutable" in packed.headers["Cache-Control"]
    assert len(packed.data) < 0.4 * len(plain.data)


@pytest.mark.parametrize("tile", ["0/0/0", "5/0/0", "14/0/0"])
def test_a_tile_without_systems_is_empty_or_holds_them_all(client: Client, tile: str) -> None:
    found = features(client("county"), f"/tiles/systems/{tile}.pbf?late=all")
    assert bool(found) == (tile == "0/0/0")


def test_without_roads_the_map_is_plain_paper(parts: "Parts", tmp_path: object) -> None:
    from web.map_style import map_style

    style = map_style(None, "/tiles/base/none/{z}/{x}/{y}.pbf")
    assert style["sources"] == {}
    assert [one["type"] for one in style["layers"]] == ["background"]
