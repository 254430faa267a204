"""RFC 7946, "The GeoJSON Format", sections 3.1.1 (lon, lat order), 3.2, 4 (no crs), 11.2."""

import json

from registry.records.places import LonLat
from registry.report.geojson_text import feature_collection

ROWS = [
    (LonLat(-140.123456789, 45.987654321), {"site": "A-1", "note": 'a "quote"\nand more'}),
    (None, {"site": "A-2"}),
]


def test_positions_are_longitude_then_latitude_with_seven_decimals() -> None:
    read = json.loads(feature_collection(ROWS))
    assert read["features"][0]["geometry"]["coordinates"] == [-140.1234568, 45.9876543]


def test_there_is_no_crs_member() -> None:
    assert "crs" not in json.loads(feature_collection(ROWS))


def test_a_row_without_a_place_has_a_null_geometry() -> None:
    feature = json.loads(feature_collection(ROWS))["features"][1]
    assert feature["type"] == "Feature"
    assert feature["geometry"] is None
    assert feature["properties"] == {"site": "A-2"}


def test_no_rows_are_an_empty_collection() -> None:
    assert json.loads(feature_collection([])) == {"type": "FeatureCollection", "features": []}
