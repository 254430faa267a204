"""GeoPackage and Shapefile layers are read with their types, their holes and their system."""

from pathlib import Path

import pytest

from registry.errors import FileError
from registry.imports.opening import Reading, opened
from tests.unit.imports import files

POINTS = [(-140.5, 44.5), None, (-140.25, 44.75)]
COLUMNS = {"key": ["A-1", "A-2", "A-3"], "beds": [3, 4, 5], "flow": [450.0, float("nan"), 1.5]}


@pytest.mark.parametrize("name", ["sites.gpkg", "sites.shp"])
def test_records_come_as_text_with_their_points(tmp_path: Path, name: str) -> None:
    path = files.layer(tmp_path / name, POINTS, **COLUMNS)
    with opened(path) as source:
        sheets = list(source.sheets())
        assert source.has_geometry
        assert "4326" in source.crs
        assert source.rows == 3
    (sheet,) = sheets
    assert sheet.numbers == [1, 2, 3]
    assert sheet.columns["key"] == ["A-1", "A-2", "A-3"]
    assert sheet.columns["beds"] == ["3", "4", "5"]
    assert sheet.columns["flow"] == ["450", "", "1.5"]
    assert sheet.geometries is not None
    assert [one and one.coords[0] for one in sheet.geometries] == POINTS


def test_a_zipped_shapefile_is_read_whole(tmp_path: Path) -> None:
    path = files.layer(tmp_path / "sites.shp", POINTS, **COLUMNS)
    parts = {one.name.replace(".", "__"): one.read_bytes() for one in tmp_path.glob("sites.*")}
    (sheet,), notes = files.read(files.zipped(tmp_path, **parts))
    assert sheet.columns["key"] == ["A-1", "A-2", "A-3"]
    assert "Read as Shapefile" in notes[0]
    assert path.exists()


@pytest.mark.parametrize("ending", [".dbf", ".shx"])
def test_a_missing_part_of_a_shapefile_is_named(tmp_path: Path, ending: str) -> None:
    path = files.layer(tmp_path / "sites.shp", POINTS, **COLUMNS)
    path.with_suffix(ending).unlink()
    with pytest.raises(FileError, match=rf"The \{ending} of sites.shp is missing"):
        files.read(path)


def test_a_missing_prj_leaves_the_system_open(tmp_path: Path) -> None:
    path = files.layer(tmp_path / "sites.shp", POINTS, **COLUMNS)
    path.with_suffix(".prj").unlink()
    with opened(path) as source:
        assert source.crs == ""


@pytest.mark.parametrize("name", ["sites.gpkg", "sites.shp"])
def test_a_file_that_does_not_begin_like_its_ending_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"this is something else altogether, and long enough")
    with pytest.raises(FileError, match="does not begin like one"):
        files.read(tmp_path / name)


def test_a_damaged_geopackage_is_told_without_what_gdal_advises(tmp_path: Path) -> None:
    path = files.layer(tmp_path / "sites.gpkg", POINTS, **COLUMNS)
    path.write_bytes(path.read_bytes()[:4096])
    with pytest.raises(FileError) as told:
        files.read(path)
    assert str(told.value).startswith("sites.gpkg cannot be read")
    assert str(tmp_path) not in str(told.value)


def test_one_of_several_layers_has_to_be_chosen(reference_data: Path) -> None:
    """OGC's executable test suite for GeoPackage 1.2, commit 0e547f0."""
    path = reference_data / "data/nasty/gpkg/simple_sewer_features.gpkg"
    with pytest.raises(FileError, match="s_manhole, foul_sewer, surface_water_sewer"):
        files.read(path)
    with opened(path, Reading(layer="s_manhole")) as source:
        assert source.rows == 69
        assert "27700" in source.crs
    with pytest.raises(FileError, match="has no layer gates"):
        files.read(path, Reading(layer="gates"))
