"""Every value that FEMA's national layer S_FLD_HAZ_AR held in autumn 2026 (5,810,408 areas).

Source: counts of the public schema repository sethfitz/nfhl-schema (FEMA data, public domain).
Status: transcribed with counts that add up.
"""

import json

import pytest
import shapely

from registry.flood.nfhl import flood_area
from registry.flood.zones import (
    SubtypeClass,
    ZoneClass,
    is_minimal,
    layer_sfha,
    subtype_class,
    zone_class,
)

SQUARE = shapely.box(0, 0, 1, 1)
CLASSES = {
    "X": ZoneClass.OUTSIDE,
    "AE": ZoneClass.DETAILED,
    "A": ZoneClass.APPROXIMATE,
    "VE": ZoneClass.COASTAL,
    "AH": ZoneClass.DETAILED,
    "AO": ZoneClass.DEPTH,
    "D": ZoneClass.UNDETERMINED,
    "OPEN WATER": ZoneClass.OPEN_WATER,
    "V": ZoneClass.COASTAL,
    "A99": ZoneClass.APPROXIMATE,
}
SFHA = {
    ("X", "F"): False, ("X", "T"): False, ("X", "U"): False,
    ("AE", "T"): True, ("AE", "F"): True, ("A", "T"): True, ("VE", "T"): True, ("AH", "T"): True,
    ("AO", "T"): True, ("V", "T"): True, ("A99", "T"): True,
    ("D", "F"): None, ("OPEN WATER", "F"): None, ("OPEN WATER", "U"): None,
    ("OPEN WATER", "T"): True,
}  # fmt: skip
NAMED_DATUMS = {
    "NAVD88": "NAVD88", "NAVD 88": "NAVD88", "NGVD29": "NGVD29", "NGVD 29": "NGVD29",
    "LOCAL TIDAL DATUM": "LOCAL TIDAL DATUM", "MSL": "MSL", "ASVD02": "ASVD02", "MLLW": "MLLW",
    "GUVD03": "GUVD03",
}  # fmt: skip
FEET = {"Feet": 1.0, "Meters": 3.280840, "Centimeters": 0.03280840}


@pytest.fixture(scope="module")
def observed(reference_data):
    path = reference_data / "data/flood/nfhl_observed_values.json"
    return json.loads(path.read_text(encoding="utf-8"))


def values(observed, field):
    return [(row["value"], row["count"]) for row in observed["fields"][field]]


def test_every_zone_has_its_class(observed):
    found = {zone: zone_class(zone) for zone, _ in values(observed, "FLD_ZONE")}
    assert found == CLASSES


def test_every_pair_of_zone_and_flag_is_read(observed):
    pairs = observed["FLD_ZONE,SFHA_TF"]
    assert {(zone, flag): layer_sfha(zone, flag) for zone, flag, _ in pairs} == SFHA
    assert sum(count for *_, count in pairs) == observed["total"]


def test_hazard_areas_are_as_many_as_the_layer_says_but_for_its_faults(observed):
    hazard = sum(
        count for zone, flag, count in observed["FLD_ZONE,SFHA_TF"] if layer_sfha(zone, flag)
    )
    flagged = dict(values(observed, "SFHA_TF"))["T"]
    assert hazard == flagged - 14 + 2


def test_every_subtype_has_a_class(observed):
    for subtype, _ in values(observed, "ZONE_SUBTY"):
        found = subtype_class(subtype or "")
        assert found is not SubtypeClass.OTHER, subtype
        assert (found is SubtypeClass.NONE) == (subtype in {None, "", " ", "<Null>"}), subtype


def test_levee_and_shaded_subtypes_of_zone_x_are_not_minimal(observed):
    minimal = [s for s, _ in values(observed, "ZONE_SUBTY") if is_minimal("X", s or "")]
    assert minimal == ["AREA OF MINIMAL FLOOD HAZARD"]
    for subtype, _ in values(observed, "ZONE_SUBTY"):
        if subtype and "LEVEE" in subtype:
            assert subtype_class(subtype) in {SubtypeClass.LEVEE, SubtypeClass.UNDETERMINED}
        if subtype and subtype.startswith("0.2"):
            assert subtype_class(subtype) is SubtypeClass.SHADED


def test_every_datum_is_kept_or_known_to_be_missing(observed):
    for datum, _ in values(observed, "V_DATUM"):
        made = flood_area({"FLD_ZONE": "AE", "STATIC_BFE": 12.0, "V_DATUM": datum}, SQUARE)
        assert made.static_bfe is not None
        assert made.static_bfe.datum == NAMED_DATUMS.get(datum, "unknown"), datum


def test_every_unit_of_length_is_read(observed):
    for unit, _ in values(observed, "LEN_UNIT"):
        made = flood_area({"FLD_ZONE": "AE", "STATIC_BFE": 12.0, "LEN_UNIT": unit}, SQUARE)
        assert made.static_bfe is not None
        assert made.static_bfe.value_ft == pytest.approx(12 * FEET.get(unit, 1.0), rel=1e-6), unit


def test_the_layers_sentinel_is_never_an_elevation(observed):
    assert observed["sentinel"].startswith("-9999")
    made = flood_area({"FLD_ZONE": "AO", "STATIC_BFE": -9999, "DEPTH": -9999.0}, SQUARE)
    assert (made.static_bfe, made.depth_ft) == (None, None)
