"""GeoJSON features are kept and named, also those that cannot be used (RFC 7946)."""

from pathlib import Path

import pytest

from registry.errors import FileError
from registry.imports.geojson_geometry import build
from registry.imports.limits import Limits
from registry.imports.opening import Reading, opened
from tests.unit.imports import files
from tests.unit.imports.files import feature

SQUARE = [[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]]


def test_properties_become_text_and_points_geometries(tmp_path: Path) -> None:
    path = files.geojson(
        tmp_path,
        feature((-140.5, 44.5, 12.0), key="A-1", beds=3.0, open=True, tags=["a"], note=None),
        feature(None, key="A-2"),
    )
    (sheet,), _ = files.read(path)
    assert sheet.columns == {
        "key": ["A-1", "A-2"],
        "beds": ["3", ""],
        "open": ["yes", ""],
        "tags": ['["a"]', ""],
        "note": ["", ""],
    }
    assert sheet.geometries is not None
    assert sheet.geometries[0].wkt == "POINT (-140.5 44.5)"
    assert sheet.geometries[1] is None
    assert not sheet.faults


def test_an_id_of_a_feature_is_a_column(tmp_path: Path) -> None:
    path = files.geojson(tmp_path, feature((1, 2), note="x") | {"id": 7})
    (sheet,), _ = files.read(path)
    assert sheet.columns == {"note": ["x"], "id": ["7"]}


@pytest.mark.parametrize(
    ("geometry", "fault"),
    [
        ({"type": "Point", "coordinates": [1]}, "fewer than two numbers"),
        ({"type": "Point", "coordinates": ["1", 2]}, "'1', not a number"),
        ({"type": "Point", "coordinates": [True, 2]}, "not a number"),
        ({"type": "Point"}, "no coordinates"),
        ({"type": "Point", "coordinates": [[1, 2]]}, "not nested as its type asks"),
        ({"type": "Polygon", "coordinates": [1, 2]}, "not nested as its type asks"),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 1]]]}, "fewer than four positions"),
        ({"type": "LineString", "coordinates": [[0, 0]]}, "fewer than two positions"),
        ({"type": "Blob", "coordinates": []}, "'Blob'"),
        ({"type": "GeometryCollection", "geometries": [None]}, "not an object"),
        ("POINT (1 2)", "not an object"),
    ],
)
def test_a_geometry_that_cannot_be_built_says_why(geometry: object, fault: str) -> None:
    built = build(geometry)
    assert built.geometry is None
    assert fault in built.fault


def test_an_open_ring_is_closed_and_that_is_told() -> None:
    built = build({"type": "Polygon", "coordinates": [SQUARE[:-1]]})
    assert built.geometry.area == 1.0
    assert built.repair == "a ring that was left open is closed"


@pytest.mark.parametrize("empty", [None, {"type": "Point", "coordinates": []}])
def test_nothing_is_no_fault(empty: object) -> None:
    built = build(empty)
    assert (built.geometry, built.fault) == (None, "")


def test_what_is_no_feature_is_kept_with_its_number(tmp_path: Path) -> None:
    path = files.geojson(tmp_path, None, feature((1, 2), key="A-1"), {"type": "Featre"})
    (sheet,), _ = files.read(path)
    assert sheet.numbers == [2]
    assert [(one.number, one.wrong) for one in sheet.broken] == [
        (1, "this is not an object"),
        (3, "its type is 'Featre', not Feature"),
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "is no JSON"),
        ("[1, 2]", "no GeoJSON object"),
        ('{"type": "featurecollection"}', "'featurecollection'"),
        ('{"type": "FeatureCollection"}', "without a list of features"),
        ('{"type": "Feature", "type": "Feature"}', "“type” stands twice"),
        ("[" * 100_000, "nested too deeply"),
    ],
)
def test_what_is_no_geojson_is_refused_in_a_sentence(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(FileError, match=said):
        files.read(files.csv(tmp_path, text, "sites.geojson"))


def test_bytes_that_are_no_utf8_are_told_with_their_place(tmp_path: Path) -> None:
    path = files.csv(tmp_path, '{"type": "é"}', "sites.geojson", encoding="cp1252")
    with pytest.raises(FileError, match="not in UTF-8"):
        files.read(path)


def test_a_file_that_is_too_large_is_told_where_to_go(tmp_path: Path) -> None:
    path = files.geojson(tmp_path, feature((1, 2)))
    with pytest.raises(FileError, match="Save it as GeoPackage"):
        files.read(path, Reading(limits=Limits(geojson_bytes=10)))


def test_an_older_file_names_its_coordinate_system(tmp_path: Path) -> None:
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::2913"}}
    with opened(files.geojson(tmp_path, feature((1, 2)), crs=crs)) as source:
        assert source.crs == "urn:ogc:def:crs:EPSG::2913"
    crs["properties"] = {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}
    with opened(files.geojson(tmp_path, feature((1, 2)), crs=crs)) as source:
        assert source.crs == "EPSG:4326"
    with pytest.raises(FileError, match="does not name"):
        files.read(files.geojson(tmp_path, feature((1, 2)), crs={"type": "link"}))
