"""Flood layers come in with all that they say; what they do not say is asked for."""

from pathlib import Path
from typing import Any

import pytest
import shapely

from registry.errors import FileError
from registry.records.elevation import NAVD88, Elevation
from registry.services.import_flood import import_flood
from registry.services.import_outcome import ImportOutcome
from registry.store import Store
from registry.store.flood_facts import bfe_lines, flood_areas
from tests.store.importing import counts, request, table_counts
from tests.unit.imports import files
from tests.unit.imports.files import feature

RING = [[-140.5, 44.5], [-140.4, 44.5], [-140.4, 44.6], [-140.5, 44.6], [-140.5, 44.5]]
SQUARE = {"type": "Polygon", "coordinates": [RING]}
LINE = {"type": "LineString", "coordinates": [[-140.5, 44.5], [-140.4, 44.5]]}
AE = {
    "DFIRM_ID": "00001C",
    "FLD_AR_ID": "00001C_1",
    "FLD_ZONE": "AE",
    "ZONE_SUBTY": "FLOODWAY",
    "SFHA_TF": "T",
    "STATIC_BFE": 451.5,
    "V_DATUM": "NAVD88",
    "LEN_UNIT": "Feet",
    "DEPTH": -9999,
    "SOURCE_CIT": "00001C_STUDY1",
}


def bring(store: Store, path: Path, **fields: Any) -> ImportOutcome:
    """Import a flood layer."""
    with store.session() as session:
        return import_flood(session, request(path, **fields))


def test_an_area_is_kept_with_all_its_attributes(store: Store, tmp_path: Path) -> None:
    path = files.geojson(tmp_path, feature(SQUARE, **AE))
    assert counts(bring(store, path)) == (1, 1, 0, 0, 0)
    with store.reading() as session:
        (area,) = flood_areas(session)
    assert (area.zone, area.subtype, area.sfha) == ("AE", "FLOODWAY", True)
    assert area.static_bfe == Elevation(451.5, NAVD88)
    assert area.depth_ft is None
    assert area.given["SOURCE_CIT"] == "00001C_STUDY1"
    assert shapely.equals(area.geometry, shapely.Polygon(RING))


def test_the_same_layer_twice_changes_nothing_and_another_zone_one_area(
    store: Store, tmp_path: Path
) -> None:
    nameless = {k: v for k, v in AE.items() if k not in {"FLD_AR_ID", "DFIRM_ID"}}
    features = [feature(SQUARE, **AE), feature(SQUARE, **nameless), feature(SQUARE, **nameless)]
    bring(store, files.geojson(tmp_path, *features))
    before = table_counts(store)
    assert counts(bring(store, tmp_path / "sites.geojson")) == (3, 0, 0, 3, 0)
    assert table_counts(store) == before
    features[0] = feature(SQUARE, **AE | {"FLD_ZONE": "A"})
    assert counts(bring(store, files.geojson(tmp_path, *features))) == (3, 0, 1, 2, 0)
    moved = {"type": "Polygon", "coordinates": [[[x + 0.01, y] for x, y in RING]]}
    features[0] = feature(moved, **AE | {"FLD_ZONE": "A"})
    assert counts(bring(store, files.geojson(tmp_path, *features))) == (3, 0, 1, 2, 0)


def test_lines_are_base_flood_elevations(store: Store, tmp_path: Path) -> None:
    line = {"BFE_LN_ID": "1", "ELEV": 137.16, "LEN_UNIT": "Meters", "V_DATUM": "NAVD88"}
    nowhere = line | {"BFE_LN_ID": "2", "ELEV": -9999}
    bare = {"BFE_LN_ID": "3", "ELEV": 450}
    path = files.geojson(
        tmp_path, feature(LINE, **line), feature(LINE, **nowhere), feature(LINE, **bare)
    )
    outcome = bring(store, path)
    assert counts(outcome) == (3, 2, 0, 0, 1)
    assert "the line has no elevation. Give ELEV" in str(outcome.complaints[0])
    assert "1 elevations name no vertical datum" in " ".join(outcome.counts.warnings)
    with store.reading() as session:
        first, second = bfe_lines(session)
    assert first.elevation.value_ft == pytest.approx(450.0, abs=1e-9)
    assert (first.elevation.datum, second.elevation.datum) == (NAVD88, "unknown")


def test_a_layer_without_a_zone_is_asked_about(store: Store, tmp_path: Path) -> None:
    path = files.geojson(tmp_path, feature(SQUARE, name="flood plain"))
    before = table_counts(store)
    with pytest.raises(FileError, match="no zone attribute"):
        bring(store, path)
    with pytest.raises(FileError, match="WET is no flood zone"):
        bring(store, path, zone="wet")
    assert table_counts(store) == before
    assert counts(bring(store, path, zone="ae")) == (1, 1, 0, 0, 0)
    with store.reading() as session:
        assert flood_areas(session)[0].zone == "AE"


def square(x: float, y: float) -> list[list[float]]:
    """The ring of a square, two degrees wide, by its south-western corner."""
    return [[x, y], [x + 2, y], [x + 2, y + 2], [x, y + 2], [x, y]]


def test_an_outline_is_repaired_only_where_there_is_one_way_to_do_it(
    store: Store, tmp_path: Path
) -> None:
    x, y = -140.0, 44.0
    spike = [[x, y], [x + 1, y], [x + 1, y + 1], [x + 2, y + 1], [x + 1, y + 1], [x, y + 1], [x, y]]
    tie = [[x, y], [x + 1, y + 1], [x + 1, y], [x, y + 1], [x, y]]
    overlap = [square(x, y), square(x + 1, y + 1)]
    path = files.geojson(
        tmp_path,
        feature({"type": "Polygon", "coordinates": [spike]}, FLD_ZONE="A", FLD_AR_ID="1"),
        feature({"type": "Polygon", "coordinates": [tie]}, FLD_ZONE="A", FLD_AR_ID="2"),
        feature(
            {"type": "MultiPolygon", "coordinates": [[one] for one in overlap]},
            FLD_ZONE="A", FLD_AR_ID="3",
        ),
    )  # fmt: skip
    outcome = bring(store, path)
    with store.reading() as session:
        areas = {one.source_key: one.geometry for one in flood_areas(session)}
    assert shapely.area(areas["1"]) == pytest.approx(1.0)
    assert "records 1" in " ".join(outcome.counts.warnings)
    assert all(shapely.is_valid(list(areas.values())))
    assert "3" not in areas
    assert [one.row for one in outcome.complaints] == [3]
    assert "more than one way to repair it" in outcome.complaints[0].wrong


@pytest.mark.parametrize(
    ("geometry", "said"),
    [
        (None, "no usable geometry"),
        ({"type": "Point", "coordinates": [1, 2]}, "neither polygon nor line"),
        ({"type": "Polygon", "coordinates": [1]}, "not nested"),
        ({"type": "Polygon", "coordinates": [[[7e6, 6e5], [7e6, 7e5], [8e6, 7e5], [7e6, 6e5]]]},
         "no degrees"),
    ],
)  # fmt: skip
def test_a_record_that_cannot_be_used_is_kept_and_named(
    store: Store, tmp_path: Path, geometry: object, said: str
) -> None:
    path = files.geojson(tmp_path, feature(geometry, **AE), feature(SQUARE, **AE))
    outcome = bring(store, path)
    assert counts(outcome) == (2, 1, 0, 0, 1)
    assert said in str(outcome.complaints[0])
    assert Path(outcome.counts.rejects_file or "").is_file()


def test_another_coordinate_system_is_transformed(store: Store, tmp_path: Path) -> None:
    import numpy as np
    import pyogrio
    import pyproj

    to_feet = pyproj.Transformer.from_crs(4326, 2913, always_xy=True)
    ring = [(-123.2, 45.8), (-123.1, 45.8), (-123.1, 45.9), (-123.2, 45.8)]
    shape = shapely.Polygon([to_feet.transform(*one) for one in ring])
    path = tmp_path / "S_FLD_HAZ_AR.shp"
    pyogrio.raw.write(
        path,
        geometry=np.array([shapely.to_wkb(shape)], dtype=object),
        field_data=[np.array(["AE"], dtype=object)],
        fields=np.array(["FLD_ZONE"], dtype=object),
        geometry_type="Polygon",
        crs="EPSG:2913",
    )
    bring(store, path)
    with store.reading() as session:
        (area,) = flood_areas(session)
    found = {(round(x, 7), round(y, 7)) for x, y in area.geometry.exterior.coords}  # type: ignore[attr-defined]
    assert found == {(x, y) for x, y in ring}
    path.with_suffix(".prj").unlink()
    with pytest.raises(FileError, match="does not say in which coordinate system"):
        bring(store, path)


def test_the_vernonia_layer_must_be_told_its_zone(store: Store, reference_data: Path) -> None:
    """City of Vernonia's special flood hazard area (commit d9cbf3cb): AE and shaded X in one."""
    import json

    folder = reference_data / "data/flood"
    path = folder / "vernonia_special-flood-hazard-area.geojson"
    expected = json.loads((folder / "vernonia_expected.json").read_text())
    with pytest.raises(FileError, match="only if all of them are one zone"):
        bring(store, path)
    assert counts(bring(store, path, zone="AE")) == (1, 1, 0, 0, 0)
    with store.reading() as session:
        (area,) = flood_areas(session)
    assert len(area.geometry.geoms) == expected["sfha_parts"]  # type: ignore[attr-defined]


def test_every_observed_zone_of_the_national_layer_is_taken(
    store: Store, tmp_path: Path, reference_data: Path
) -> None:
    """FEMA's layer S_FLD_HAZ_AR as counted in autumn 2026: every FLD_ZONE with every V_DATUM."""
    import json

    seen = json.loads((reference_data / "data/flood/nfhl_observed_values.json").read_text())
    zones = [one["value"] for one in seen["fields"]["FLD_ZONE"]]
    datums = [one["value"] for one in seen["fields"]["V_DATUM"]]
    features = [
        feature(SQUARE, FLD_ZONE=zone, V_DATUM=datum, STATIC_BFE=-9999, FLD_AR_ID=f"{i}")
        for i, (zone, datum) in enumerate((z, d) for z in zones for d in datums)
    ]
    outcome = bring(store, files.geojson(tmp_path, *features))
    assert counts(outcome) == (len(features), len(features), 0, 0, 0)
    with store.reading() as session:
        assert all(one.static_bfe is None for one in flood_areas(session))
