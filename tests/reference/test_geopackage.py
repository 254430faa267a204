"""OGC 12-128, "GeoPackage Encoding Standard": what every reader looks for in a file.

The tables by the OGC's e-learning pages on GeoPackage; the application id 0x47504B47 ("GPKG") from
memory of the standard's clause 1.1.1, and seen in the bytes of published files. Read back by
GDAL through pyogrio.
"""

import sqlite3
import struct
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pyogrio
import pytest
import shapely
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


def test_every_geometry_has_the_header_that_the_standard_gives_it(file: Path) -> None:
    """OGC 12-128r18, clause 2.1.3 (Requirements 19 and 20), from memory: GP, version, flags."""
    with closing(sqlite3.connect(file)) as opened:
        ((table, column, srs),) = opened.execute(
            "SELECT table_name, column_name, srs_id FROM gpkg_geometry_columns"
        )
        assert (table, column) == ("sites", "geom")
        blobs = [row[0] for row in opened.execute("SELECT geom FROM sites")]
    placed = [one for one in blobs if one is not None]
    assert placed
    for blob in placed:
        magic, version, flags = struct.unpack_from("<2sBB", blob)
        order = "<" if flags & 1 else ">"
        assert (magic, version) == (b"GP", 0)
        assert struct.unpack_from(f"{order}i", blob, 4) == (srs,)
        envelope, is_empty = flags >> 1 & 7, flags >> 4 & 1
        assert envelope <= 4  # 5 to 7 are invalid
        assert flags >> 6 == 0  # reserved
        place = shapely.from_wkb(blob[8 + (0, 32, 48, 48, 64)[envelope] :])
        assert (place.geom_type, place.is_empty) == ("Point", bool(is_empty))


def test_what_the_contents_say_is_so(file: Path) -> None:
    """OGC 12-128r18, clauses 1.1.1 (Requirement 2), 1.1.2 (11), 1.1.3 (13 to 15), from memory."""
    with closing(sqlite3.connect(file)) as opened:
        assert opened.execute("PRAGMA application_id").fetchone() == (0x47504B47,)
        assert opened.execute("PRAGMA user_version").fetchone()[0] >= 10200
        systems = {row[0] for row in opened.execute("SELECT srs_id FROM gpkg_spatial_ref_sys")}
        assert {-1, 0, 4326} <= systems
        contents = opened.execute(
            "SELECT table_name, data_type, last_change, srs_id FROM gpkg_contents"
        ).fetchall()
        tables = {row[0] for row in opened.execute("SELECT name FROM sqlite_master")}
    for name, kind, changed, srs in contents:
        assert name in tables
        assert kind in {"features", "attributes"}
        assert datetime.fromisoformat(changed).tzinfo is not None
        assert srs is None or srs in systems


def test_the_index_on_places_is_kept_by_the_triggers_that_the_standard_names(file: Path) -> None:
    """OGC 12-128r18, annex F.3 (Requirements 75 to 77), from memory; update6 and 7 since 1.4."""
    index = "rtree_sites_geom"
    with closing(sqlite3.connect(file)) as opened:
        told = opened.execute(
            "SELECT table_name, column_name, scope FROM gpkg_extensions"
            " WHERE extension_name = 'gpkg_rtree_index'"
        ).fetchall()
        triggers = {
            name.removeprefix(index + "_")
            for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            if name.startswith(index)
        }
        n_indexed = opened.execute("SELECT count(*) FROM rtree_sites_geom").fetchone()[0]
        placed = "SELECT count(*) FROM sites WHERE geom IS NOT NULL"
        n_placed = opened.execute(placed).fetchone()[0]
    assert told == [("sites", "geom", "write-only")]
    assert {"insert", "update2", "update4", "delete"} <= triggers
    assert {"update1", "update3"} <= triggers or {"update6", "update7", "update5"} <= triggers
    assert n_indexed == n_placed > 0


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
