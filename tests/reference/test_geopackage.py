"""OGC 12-128, "GeoPackage Encoding Standard": what every reader looks for in a file.

The tables by the OGC's e-learning pages on GeoPackage; the application id 0x47504B47 ("GPKG") from
memory of the standard's clause 1.1.1, and seen in the bytes of published files. Read back by
GDAL through pyogrio.
"""

import sqlite3
from pathlib import Path

import pyogrio
import pytest
from lxml import etree

from registry.exports.geopackage import geopackage
from registry.records.places import LonLat

ROWS = [
    (LonLat(-140.1234567, 45.9876543), {"key": "A-1", "note": 'a "quote"'}),
    (None, {"key": "A-2", "note": None}),
]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "sites.gpkg"
    path.write_bytes(geopackage("sites", ("key", "note"), ROWS))
    return path


def test_the_file_says_that_it_is_a_geopackage(file: Path) -> None:
    assert file.read_bytes()[68:72] == b"GPKG"  # SQLite keeps the application id at offset 68


def test_the_tables_that_the_standard_asks_for_are_there(file: Path) -> None:
    with sqlite3.connect(file) as opened:
        held = {name for (name,) in opened.execute("SELECT name FROM sqlite_master")}
        srs = {number for (number,) in opened.execute("SELECT srs_id FROM gpkg_spatial_ref_sys")}
        contents = opened.execute("SELECT table_name, data_type, srs_id FROM gpkg_contents")
        said = contents.fetchall()
    opened.close()
    assert {"gpkg_contents", "gpkg_spatial_ref_sys", "gpkg_geometry_columns"} <= held
    assert {-1, 0, 4326} <= srs
    assert ("sites", "features", 4326) in said
    assert [one[:2] for one in said if one[0] != "sites"] == [("layer_styles", "attributes")]


def test_sqlite_and_the_standard_find_no_fault_in_the_file(file: Path) -> None:
    """The queries of OGC 12-128 requirements 6 and 7: integrity and foreign keys."""
    with sqlite3.connect(file) as opened:
        sound = opened.execute("PRAGMA integrity_check").fetchall()
        dangling = opened.execute("PRAGMA foreign_key_check").fetchall()
    opened.close()
    assert (sound, dangling) == ([("ok",)], [])


@pytest.mark.parametrize("columns", [("key", "note"), ("site", "overdue")])
def test_the_style_of_a_layer_is_in_the_file_and_well_formed(
    tmp_path: Path, columns: tuple[str, ...]
) -> None:
    path = tmp_path / "styled.gpkg"
    rows = [(LonLat(-140, 45), dict.fromkeys(columns, "yes"))]
    path.write_bytes(geopackage("overdue", columns, rows))
    style = pyogrio.read_dataframe(path, layer="layer_styles").iloc[0]
    assert (style["f_table_name"], style["f_geometry_column"]) == ("overdue", "geom")
    assert bool(style["useAsDefault"])
    geometry = pyogrio.read_info(path, layer="overdue")["geometry_name"]
    assert geometry == style["f_geometry_column"]
    sld = etree.fromstring(style["styleSLD"].encode())
    shapes = [one.text for one in sld.iter("{http://www.opengis.net/sld}WellKnownName")]
    assert shapes == (["square", "circle"] if "overdue" in columns else ["circle"])
    assert etree.fromstring(style["styleQML"]).tag == "qgis"


def test_a_gis_reads_the_rows_back_longitude_first(file: Path) -> None:
    read = pyogrio.read_dataframe(file, layer="sites")
    assert list(read["key"]) == ["A-1", "A-2"]
    assert (read.geometry[0].x, read.geometry[0].y) == (-140.1234567, 45.9876543)
    assert read.geometry[1] is None
    assert read.crs.to_epsg() == 4326
