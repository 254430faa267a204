"""The flood layers of the invented county against its own terrain, at every site."""

import csv
import json
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import shapely

from demo_sites import make_county
from demo_sites.county.components import NAVD88_ABOVE_NGVD29_FT
from demo_sites.county.flood_layers import bfe_stations, zone_at
from demo_sites.county.frame import Place, moved, place_at, place_of, valley_of
from demo_sites.county.terrain import (
    LAKE_HEAD_U,
    NORTH,
    SOUTH,
    STUDY_END_U,
    bfe_ft,
    edge_m,
    ground_ft,
)

FILES = Path(make_county.__file__).with_name("files")
EDGE_DEG = 3e-5
"""About 3 m: the drawn edge is straight between stations 50 m apart, the terrain's is not."""


def rows(name: str) -> list[dict[str, str]]:
    with (FILES / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture(scope="module")
def areas() -> list[tuple[dict[str, Any], shapely.Geometry]]:
    layer = json.loads((FILES / "flood_areas.geojson").read_text())
    return [
        (one["properties"], shapely.from_geojson(json.dumps(one["geometry"])))
        for one in layer["features"]
    ]


def located() -> Iterator[tuple[dict[str, str], Place]]:
    for row in rows("sites.csv"):
        if row["lon"]:
            yield row, place_of(float(row["lon"]), float(row["lat"]))


def test_every_area_is_valid_and_none_overlaps_another(areas: Any) -> None:
    shapes = [shape for _, shape in areas]
    assert all(shape.is_valid for shape in shapes)
    for i, one in enumerate(shapes):
        for other in shapes[:i]:
            assert one.intersection(other).area < 1e-9  # square degrees: some 9 square metres


def test_every_site_lies_in_the_zone_that_its_ground_says(areas: Any) -> None:
    wrong = []
    for row, place in located():
        point = shapely.Point(float(row["lon"]), float(row["lat"]))
        if any(shape.boundary.distance(point) < EDGE_DEG for _, shape in areas):
            continue
        found = [given for given, shape in areas if shape.covers(point)]
        zone, subtype = zone_at(*valley_of(place))
        if [(g["FLD_ZONE"], g["ZONE_SUBTY"] or "") for g in found] != [(zone, subtype)]:
            wrong.append((row["key"], zone, subtype, found))
    assert wrong == []


def test_ground_in_zone_ae_lies_below_the_base_flood_elevation() -> None:
    for row, place in located():
        u, d = valley_of(place)
        if zone_at(u, d)[0] == "AE":
            assert ground_ft(u, d) < bfe_ft(u), row["key"]


def test_the_flood_falls_downstream_and_its_lines_run_from_edge_to_edge() -> None:
    lines = json.loads((FILES / "flood_lines.geojson").read_text())["features"]
    levels = [one["properties"]["ELEV"] for one in lines]
    assert levels == sorted(levels) == [float(level) for level, _ in bfe_stations()]
    assert all(b > a for (_, a), (_, b) in pairwise(bfe_stations()))
    for line, (level, u) in zip(lines, bfe_stations(), strict=True):
        ends = [valley_of(place_of(*spot)) for spot in line["geometry"]["coordinates"]]
        assert bfe_ft(u) == pytest.approx(level, abs=1e-6)
        for (end_u, end_d), side in zip(ends, (SOUTH, NORTH), strict=True):
            assert end_u == pytest.approx(u, abs=1)
            assert end_d == pytest.approx(edge_m(u, side), abs=1)


def test_lines_stand_only_where_the_study_was_detailed() -> None:
    assert all(LAKE_HEAD_U < u < STUDY_END_U for _, u in bfe_stations())


def test_the_elevation_of_every_tank_fits_the_ground_where_it_lies() -> None:
    """A riser stands 0 to 1 ft above the ground; bearings are written to a degree, so ± 1 ft."""
    corners = {home.key: home.corner for home in make_county.county()[2].homes}
    seen = 0
    for row in rows("components.csv"):
        if row["kind"] != "septic tank" or not row["elevation_ft"] or not row["bearing_deg"]:
            continue
        place = moved(
            corners[row["site"]], float(row["bearing_deg"]), float(row["distance_ft"]) * 0.3048
        )
        offset = NAVD88_ABOVE_NGVD29_FT if row["elevation_datum"] == "NGVD29" else 0.0
        height = float(row["elevation_ft"]) + offset - ground_ft(*valley_of(place))
        assert -0.7 <= height <= 1.7, row
        seen += 1
    assert seen > 30


def test_a_place_survives_the_way_to_the_valley_frame_and_back() -> None:
    for u, d in ((-3_000, 1_200), (0, 0), (11_950, 860), (20_000, -4_000), (31_000, 5_500)):
        assert valley_of(place_at(u, d)) == pytest.approx((u, d), abs=0.01)


def test_the_flood_facts_of_every_site_are_those_of_the_terrain() -> None:
    """The drawn lines are 2 ft apart; between them the river falls not quite evenly."""
    from registry.flood.join import flood_facts
    from registry.flood.nfhl import bfe_line, flood_area
    from registry.flood.sites import FloodSite
    from registry.records.places import LonLat

    layer, lines = (
        [
            make(one["properties"], shapely.from_geojson(json.dumps(one["geometry"])))
            for one in json.loads((FILES / name).read_text())["features"]
        ]
        for name, make in (("flood_areas.geojson", flood_area), ("flood_lines.geojson", bfe_line))
    )
    homes = list(located())
    sites = [
        FloodSite(site_id=i, lon_lat=LonLat(float(row["lon"]), float(row["lat"])))
        for i, (row, _) in enumerate(homes)
    ]
    seen = 0
    for fact, (row, place) in zip(flood_facts(sites, layer, lines), homes, strict=True):
        u, d = valley_of(place)
        zone, _ = zone_at(u, d)
        if fact.zone != zone:
            assert fact.near_edge, row["key"]
            continue
        assert fact.in_hazard_area is (None if zone == "D" else zone.startswith("A")), row["key"]
        if zone == "AE":
            assert fact.bfe is not None, row["key"]
            assert fact.bfe.value_ft == pytest.approx(bfe_ft(u), abs=0.25), row["key"]
            seen += 1
        else:
            assert fact.bfe is None, row["key"]
    assert seen > 80
