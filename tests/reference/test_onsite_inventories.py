"""Real inventories come in whole: Hawaii's onsite units, Vermont's wastewater facilities.

Hawaii: University of Hawaii Sea Grant and WRRC for Hawaii Department of Health, "Act 132 Cesspool
Prioritization", repository commit 63bde62, Zenodo 10.5281/zenodo.7329880. Vermont: University of
Vermont VERSO with Vermont ANR, repository commit 10defa5, DOI 10.5281/zenodo.11508708. The expected
counts were computed apart from this program and lie beside the data.
"""

import json
from collections import Counter
from pathlib import Path

import pytest

from registry.cli.office import office
from registry.imports.opening import Reading
from registry.records.places import LonLat
from registry.records.systems import SystemKind
from registry.services.compare_areas import AreasCompared, compare_areas
from registry.store import Store
from tests.store.importing import bring, counts, kept, systems, table_counts
from tests.unit.imports import files

HAWAII = """
key = "TMK"
[fields]
lon = "X"
lat = "Y"
parcel = "TMK"
kind = "OSDS_TYP"
jurisdiction = "Island"
bedrooms = "TTL_BDRMS"
[values.kind]
"Septic to Soil" = "gravity"
"""
VERMONT = """
key = "PermitID"
[fields]
town = "Municipal_Name"
kind = "ProgramCategory"
permit_no = "NPDESPermitNumber"
"""


def areas_of(store: Store, path: Path, name: str) -> AreasCompared:
    """The sites of the only firm against the areas of a layer."""
    with store.reading() as session:
        return compare_areas(session, office(session, None), path, name, Reading())


@pytest.fixture
def hawaii(reference_data: Path) -> Path:
    """The inventory of Hawaii's units on parcels that hold several."""
    return reference_data / "data/onsite/hawaii_osds_multi_unit_parcels.csv"


@pytest.fixture
def expected(reference_data: Path) -> dict[str, object]:
    """What the inventory of Hawaii must give."""
    found: dict[str, object] = json.loads(
        (reference_data / "data/onsite/hawaii_expected.json").read_text()
    )
    return found


def test_hawaii_comes_in_whole_and_each_tract_holds_what_it_must(
    store: Store, tmp_path: Path, hawaii: Path, expected: dict[str, dict[str, int]]
) -> None:
    column_map = files.csv(tmp_path, HAWAII, "map.toml")
    outcome = bring(store, hawaii, map_path=column_map, folder=tmp_path)
    assert counts(outcome) == (expected["rows"], expected["rows"], 0, 0, 0)
    sites, found = kept(store), systems(store)
    assert len(sites) == len(found) == expected["rows"]
    assert len({one.parcel for one in sites.values()}) == expected["distinct_TMK"]
    verbatim = Counter(one.kind_as_given for one in found.values())
    told = Counter({word.strip(): n for word, n in expected["by_OSDS_TYP_verbatim"].items()})
    assert verbatim == told
    kinds = Counter(one.kind for one in found.values())
    cesspools, septic = told["Cesspool"] + told["CESSPOOL"], told["Septic to Soil"]
    assert (kinds[SystemKind.CESSPOOL], kinds[SystemKind.GRAVITY]) == (cesspools, septic)
    said = " ".join(outcome.counts.warnings)
    assert f"“CESSPOOL & SEPTIC” {told['CESSPOOL & SEPTIC']:,}" in said
    assert f"{told['']:,} rows do not say of which kind" in said
    places = [one.lon_lat or LonLat(0, 0) for one in sites.values()]
    box = [min(p.lon for p in places), min(p.lat for p in places),
           max(p.lon for p in places), max(p.lat for p in places)]  # fmt: skip
    assert box == pytest.approx(expected["bbox"], abs=1e-9)
    compared = areas_of(store, hawaii.parent / "hawaii_census_tracts.zip", "Track_ID")
    per_tract = Counter[str]()
    for name, count in compared.per_area.items():
        per_tract[str(int(float(name)))] += count
    assert +per_tract == +Counter(expected["count_per_Track_ID"])
    assert len(compared.outside) == expected["outside_all_tracts"]
    assert set(compared.outside) <= set(sites)


def test_hawaii_twice_changes_nothing(store: Store, tmp_path: Path, hawaii: Path) -> None:
    column_map = files.csv(tmp_path, HAWAII, "map.toml")
    bring(store, hawaii, map_path=column_map, folder=tmp_path)
    before = table_counts(store)
    outcome = bring(store, hawaii, map_path=column_map, folder=tmp_path)
    assert counts(outcome)[1:] == (0, 0, outcome.counts.read, 0)
    assert table_counts(store) == before


def test_vermonts_facilities_without_a_point_are_listed_not_dropped(
    store: Store, tmp_path: Path, reference_data: Path
) -> None:
    folder = reference_data / "data/onsite"
    expected = json.loads((folder / "vermont_expected.json").read_text())
    outcome = bring(
        store,
        folder / "vermont_wastewater_facilities.geojson",
        map_path=files.csv(tmp_path, VERMONT, "map.toml"),
        folder=tmp_path,
    )
    read, added, _, _, rejected = counts(outcome)
    rejects = json.loads(Path(outcome.counts.rejects_file or "").read_text())["features"]
    nowhere = [one for one in rejects if one["geometry"] is None]
    without_key = [one for one in rejects if not (one["properties"].get("PermitID") or "").strip()]
    assert read == expected["facilities"]
    assert len(nowhere) == expected["null_geometry"]
    assert rejected == len({json.dumps(one) for one in [*nowhere, *without_key]})
    assert added == len(kept(store)) == read - rejected


def test_vermonts_facilities_are_held_against_the_towns_they_lie_in(
    store: Store, tmp_path: Path, reference_data: Path
) -> None:
    folder = reference_data / "data/onsite"
    expected = json.loads((folder / "vermont_expected.json").read_text())
    path = folder / "vermont_wastewater_facilities.geojson"
    keyed = VERMONT.replace("PermitID", "FacilityName")
    bring(store, path, map_path=files.csv(tmp_path, keyed, "map.toml"), folder=tmp_path)
    nowhere = "(outside every town)"  # also what the list says where no town is written
    towns = areas_of(store, folder / "vermont_towns.geojson", "Municipal_Name")
    told = Counter(
        (one.site.split(" (")[0], one.written or nowhere, one.lies_in or nowhere)
        for one in towns.differing
    )
    published = Counter(
        (name.split(" (")[0], written, inside)
        for name, written, inside in expected["municipality_mismatches"]
    )
    assert told == published
    assert sum(told.values()) == 129
    assert len(towns.outside) == expected["outside_every_town"]
    counties = areas_of(store, folder / "vermont_towns.geojson", "County").per_area
    outside = expected["by_spatial_county"].pop("(outside every town)")
    assert (counties, len(towns.outside)) == (expected["by_spatial_county"], outside)


def test_british_grid_coordinates_in_a_wrong_system_are_noticed(
    store: Store, tmp_path: Path, reference_data: Path
) -> None:
    """OGC's GeoPackage test suite, commit 0e547f0: 69 manholes in EPSG:27700."""
    path = reference_data / "data/nasty/gpkg/simple_sewer_features.gpkg"
    column_map = files.csv(tmp_path, 'key = "feature_id"\n', "map.toml")
    how = {"reading": Reading(layer="s_manhole"), "map_path": column_map, "folder": tmp_path}
    wrong = bring(store, path, crs="EPSG:26910", **how)
    assert counts(wrong) == (69, 0, 0, 0, 69)
    assert "outside the area that NAD83 / UTM zone 10N is made for" in wrong.complaints[0].wrong
    degrees = bring(store, path, crs="EPSG:4326", **how)
    assert "are no degrees" in degrees.complaints[0].wrong
    assert counts(bring(store, path, **how)) == (69, 69, 0, 0, 0)
    first = next(iter(kept(store).values())).lon_lat
    assert first is not None
    assert -8 < first.lon < 2
    assert 49 < first.lat < 61
