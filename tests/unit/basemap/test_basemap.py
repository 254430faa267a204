"""The base map: themes that are there, tiles that decode, an export small enough."""

import json
import warnings

import mapbox_vector_tile
import pytest
import shapely
from pyproj import Transformer

from registry.basemap import build_basemap, simplified_roads_geojson, tile
from registry.basemap.revisions import ABOUT, POINTER, current_folder
from registry.basemap.simplified import MOST_BYTES, write_simplified
from registry.errors import FileError, RoadError
from tests.osm_town import quiet, street, write_osm

WORLD_M = 20_037_508.342789244
"""Half the circumference of the sphere of web maps (EPSG:3857)."""


def tile_of(place, z):
    x, y = Transformer.from_crs("EPSG:4326", "EPSG:3857", always_xy=True).transform(*place)
    return z, int((x + WORLD_M) / (2 * WORLD_M) * 2**z), int((WORLD_M - y) / (2 * WORLD_M) * 2**z)


def layers(folder, place, z):
    content = tile(folder, *tile_of(place, z))
    return {} if content is None else mapbox_vector_tile.decode(content)


@pytest.fixture(scope="module")
def drawn(town_file, tmp_path_factory):
    roads = tmp_path_factory.mktemp("roads")
    revision = roads / ("0" * 16)
    revision.mkdir()
    build_basemap(town_file, revision / "basemap", quiet)
    (revision / ABOUT).write_text("{}")
    (roads / POINTER).write_text(revision.name)
    return roads


def test_all_themes_of_a_tile_come_joined(drawn):
    assert set(layers(drawn, street(2, 2), 13)) == {"roads", "waterways"}
    assert set(layers(drawn, street(4.7, -1.7), 13)) == {"roads", "waterways", "water", "buildings"}


def test_roads_carry_their_kind_and_name_and_keep_their_place(drawn):
    z, x, y = tile_of(street(2, 2), 14)
    features = mapbox_vector_tile.decode(tile(drawn, z, x, y))["roads"]["features"]
    by_name = {feature["properties"].get("name"): feature for feature in features}
    assert by_name["Column 2"]["properties"]["kind"] == "secondary"
    size_m = 2 * WORLD_M / 2**z
    want_x, _ = Transformer.from_crs("EPSG:4326", "EPSG:3857", always_xy=True).transform(
        *street(2, 2)
    )
    drawn_x = by_name["Column 2"]["geometry"]["coordinates"][0][0] / 4096 * size_m
    assert drawn_x + x * size_m - WORLD_M == pytest.approx(want_x, abs=1.5)


def test_far_out_only_the_major_roads_and_water_are_drawn(drawn):
    assert set(layers(drawn, street(2, 2), 10)) <= {"roads_major", "waterways", "water"}
    kinds = {
        feature["properties"]["kind"]
        for feature in layers(drawn, street(2, 2), 10)["roads_major"]["features"]
    }
    assert kinds == {"secondary"}


def test_a_theme_without_features_is_left_out(town_file, tmp_path):
    themes = build_basemap(town_file, tmp_path / "basemap", quiet)
    assert themes == ("roads_major", "roads", "waterways", "water", "buildings")
    assert {path.stem for path in (tmp_path / "basemap").glob("*.pmtiles")} == set(themes)


@pytest.mark.parametrize("zxy", [(3, 1, 1), (14, 0, 0), (15, 0, 0), (-1, 0, 0), (10, 5_000, 0)])
def test_an_empty_or_impossible_tile_is_none(drawn, zxy):
    assert tile(drawn, *zxy) is None


def test_without_a_network_there_is_no_tile_and_no_small_map(tmp_path):
    assert tile(tmp_path, 10, 1, 1) is None
    assert simplified_roads_geojson(tmp_path) is None


def test_the_small_map_has_roads_water_and_rivers_and_no_private_lane(drawn):
    small = simplified_roads_geojson(drawn)
    kinds = {one["properties"]["kind"]: one["geometry"] for one in small["features"]}
    assert set(kinds) == {"road", "waterway", "water"}
    roads = shapely.from_geojson(json.dumps(kinds["road"]))
    assert roads.distance(shapely.Point(street(3, 3))) < 1e-4
    assert roads.distance(shapely.Point(street(-1, 3.5))) > 1e-3


def test_a_small_map_is_drawn_coarser_until_it_fits(tmp_path):
    import geopandas
    import numpy as np

    chance = np.random.default_rng(7)
    steps = chance.normal(0, 2e-4, (4_000, 30, 2)).cumsum(axis=1)
    lines = shapely.linestrings(steps + chance.uniform((-41, 30), (-40, 31), (4_000, 1, 2)))
    kind = np.where(np.arange(4_000) % 20 == 0, "primary", "residential")
    roads = geopandas.GeoDataFrame({"kind": kind}, geometry=lines, crs="EPSG:4326")
    write_simplified({"roads": roads}, tmp_path)
    text = (tmp_path / "simplified.geojson").read_text()
    assert 1_000 < len(text) <= MOST_BYTES
    assert json.loads(text)["features"][0]["geometry"]["type"] == "MultiLineString"


def test_negative_ids_are_drawn_too(tmp_path):
    source = write_osm(
        tmp_path / "odd.osm",
        {-1: street(0, 0), -2: street(1, 1)},
        [([-1, -2], {"highway": "residential"})],
    )
    assert build_basemap(source, tmp_path / "basemap", quiet) == ("roads",)


def test_a_packed_file_is_drawn_as_the_plain_one(town_file, tmp_path):
    import bz2

    (tmp_path / "town.osm.bz2").write_bytes(bz2.compress(town_file.read_bytes()))
    assert build_basemap(tmp_path / "town.osm.bz2", tmp_path / "basemap", quiet) == (
        "roads_major",
        "roads",
        "waterways",
        "water",
        "buildings",
    )


def test_what_cannot_be_drawn_leaves_nothing(tmp_path):
    (tmp_path / "bad.osm.pbf").write_bytes(b"nothing of the kind")
    with warnings.catch_warnings(), pytest.raises(FileError, match=r"bad\.osm\.pbf"):
        build_basemap(tmp_path / "bad.osm.pbf", tmp_path / "basemap", quiet)
    assert [path.name for path in tmp_path.iterdir()] == ["bad.osm.pbf"]


def test_a_damaged_tile_file_is_told(drawn):
    path = current_folder(drawn) / "basemap" / "places.pmtiles"
    path.write_bytes(b"PMTiles, or not")
    with pytest.raises(RoadError, match="Import the roads again"):
        tile(drawn, *tile_of(street(2, 2), 11))
    path.unlink()
