"""Flood hazard area, map amendments and flood plain permits of Vernonia, Oregon.

Publisher: City of Vernonia and FEMA (MIT; public domain). Which letters and permits lie inside were
computed outside this program. The city's layer holds zone AE and shaded X without telling them
apart, so the file's zone is stated here as the importer's user would. A letter that says "removed"
still lies inside the polygon: an overlay is no determination.
"""

import csv
import json

import pytest
import shapely

from registry.flood.areas import Outlines
from registry.flood.join import flood_facts
from registry.flood.sites import FloodSite
from registry.records.flood import FloodArea
from registry.records.places import LonLat


@pytest.fixture(scope="module")
def folder(reference_data):
    return reference_data / "data/flood"


@pytest.fixture(scope="module")
def expected(folder):
    return json.loads((folder / "vernonia_expected.json").read_text(encoding="utf-8"))


def _features(path):
    return json.loads(path.read_text(encoding="utf-8"))["features"]


@pytest.fixture(scope="module")
def hazard_area(folder):
    (feature,) = _features(folder / "vernonia_special-flood-hazard-area.geojson")
    shape = shapely.geometry.shape(feature["geometry"])
    return FloodArea(zone="AE", sfha=True, geometry=shape)


def inside(places, area):
    sites = [FloodSite(site_id=i, lon_lat=place) for i, place in enumerate(places.values())]
    facts = flood_facts(sites, [area])
    return sorted(key for key, fact in zip(places, facts, strict=True) if fact.in_hazard_area)


@pytest.fixture(scope="module")
def letters(folder):
    return {
        feature["properties"]["case_number"]: LonLat(*feature["geometry"]["coordinates"][:2])
        for feature in _features(folder / "vernonia_lomas.geojson")
    }


@pytest.fixture(scope="module")
def permits(folder):
    path = folder / "vernonia_floodplain-development-permits.csv"
    with path.open(newline="", encoding="utf-8-sig") as text:
        return {
            row["Permit"]: LonLat(float(row["Longitude"]), float(row["Latitude"]))
            for row in csv.DictReader(text)
        }


def test_the_layers_outline_is_sound(hazard_area, expected):
    assert Outlines([hazard_area]).is_sound.tolist() == [expected["valid"]]


def test_the_letters_inside_are_those_found_elsewhere(letters, hazard_area, expected):
    assert len(letters) == expected["lomas"]
    assert inside(letters, hazard_area) == expected["lomas_inside_sfha"]


def test_the_permits_inside_are_those_found_elsewhere(permits, hazard_area, expected):
    assert len(permits) == expected["permits"]
    assert inside(permits, hazard_area) == expected["permits_inside_sfha"]


def test_letters_and_permits_lie_on_the_panels_found_elsewhere(folder, letters, permits, expected):
    panels = {}
    for feature in _features(folder / "vernonia_firm-panels.geojson"):
        shape = shapely.geometry.shape(feature["geometry"])
        (name,) = (v for v in feature["properties"].values() if v in expected["firm_panels"])
        panels[name] = FloodArea(zone=name, sfha=True, geometry=shape)
    for places, counts in ((letters, "lomas_per_panel"), (permits, "permits_per_panel")):
        found = {name: len(inside(places, panel)) for name, panel in panels.items()}
        assert found == expected[counts]


def test_no_letter_has_a_level_without_static_elevations_or_lines(letters, hazard_area):
    sites = [FloodSite(site_id=0, lon_lat=letters["01-10-183A"])]
    (fact,) = flood_facts(sites, [hazard_area])
    assert fact.bfe is None
    assert fact.unknown_why == "no BFE: neither the area nor a line gives one"
