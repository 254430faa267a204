"""Attributes of a flood layer: nulls, units, faults and older columns."""

import pytest
import shapely

from registry.errors import RangeError
from registry.flood.nfhl import bfe_line, flood_area, number_value
from registry.flood.zones import (
    SubtypeClass,
    ZoneClass,
    hazard_rank,
    is_minimal,
    layer_sfha,
    subtype_class,
    zone_class,
)
from registry.records.elevation import Elevation

SQUARE = shapely.box(0, 0, 1, 1)


def area(**given):
    return flood_area({"FLD_ZONE": "AE", "SFHA_TF": "T", **given}, SQUARE)


@pytest.mark.parametrize("null", [-9999, -9999.0, "-9999", -8888, -8888.0, None, "", " ", "<Null>",
                                  "NP", float("nan"), -99999, "-9999.0"])  # fmt: skip
def test_a_null_is_never_an_elevation_or_depth(null):
    made = area(STATIC_BFE=null, DEPTH=null, V_DATUM="NAVD88", LEN_UNIT="Feet")
    assert made.static_bfe is None
    assert made.depth_ft is None


@pytest.mark.parametrize(
    ("unit", "value_ft"),
    [("Feet", 100.0), ("", 100.0), (None, 100.0), ("<Null>", 100.0), ("-9999", 100.0),
     ("Meters", 328.084), ("METERS ", 328.084), ("Centimeters", 3.28084)],
)  # fmt: skip
def test_lengths_come_in_feet_whatever_the_layers_unit(unit, value_ft):
    made = area(STATIC_BFE=100.0, DEPTH=100.0, V_DATUM="NAVD 88", LEN_UNIT=unit)
    assert made.static_bfe is not None
    assert made.static_bfe.value_ft == pytest.approx(value_ft, rel=1e-6)
    assert made.static_bfe.datum == "NAVD88"
    assert made.depth_ft == pytest.approx(value_ft, rel=1e-6)


def test_an_elevation_without_a_datum_keeps_that_it_is_unknown():
    assert area(STATIC_BFE=12.0, V_DATUM="NP").static_bfe == Elevation(12.0, "unknown")


def test_a_low_but_real_elevation_is_kept():
    assert area(STATIC_BFE=-8.0, V_DATUM="NAVD88").static_bfe == Elevation(-8.0, "NAVD88")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"STATIC_BFE": "about 12"}, "“about 12” is not a number"),
        ({"STATIC_BFE": "inf"}, "“inf” is not a number"),
        ({"STATIC_BFE": 12, "LEN_UNIT": "Cubits"}, "“Cubits” is no unit"),
        ({"FLD_ZONE": " "}, "no flood zone is given"),
    ],
)
def test_what_cannot_be_read_is_told(given, told):
    with pytest.raises(RangeError, match=told):
        area(**given)


def test_a_number_is_read_from_text():
    assert number_value(" 12.5 ") == 12.5


@pytest.mark.parametrize(
    ("given", "subtype"),
    [
        ({"ZONE_SUBTY": "FLOODWAY"}, "FLOODWAY"),
        ({"ZONE_SUBTY": None, "FLOODWAY": "T"}, "FLOODWAY"),
        ({"FLOODWAY": "FLOODWAY"}, "FLOODWAY"),
        ({"FLOODWAY": "F"}, ""),
        ({"FLOODWAY": None}, ""),
        ({"ZONE_SUBTY": "<Null>"}, ""),
    ],
)
def test_the_older_floodway_column_is_read_as_the_subtype(given, subtype):
    assert area(**given).subtype == subtype


def test_attribute_names_come_in_any_case_and_all_are_kept():
    made = flood_area({"fld_zone": "ae", "Sfha_tf": "T", "note": 7, "x": None}, SQUARE, "k1")
    assert (made.zone, made.sfha, made.source_key) == ("AE", True, "k1")
    assert made.given == {"fld_zone": "ae", "Sfha_tf": "T", "note": "7", "x": ""}


def test_a_feature_is_told_apart_by_the_layers_own_keys():
    assert area(DFIRM_ID="41009C", FLD_AR_ID="41009C_12").source_key == "41009C/41009C_12"
    line = bfe_line({"ELEV": 108, "V_DATUM": "NAVD88", "BFE_LN_ID": "7"}, SQUARE.boundary)
    assert line.source_key == "7"
    assert line.elevation == Elevation(108.0, "NAVD88")


def test_a_line_without_an_elevation_is_refused():
    with pytest.raises(RangeError, match="no elevation"):
        bfe_line({"ELEV": -9999}, SQUARE.boundary)


@pytest.mark.parametrize(
    ("zone", "flag", "sfha"),
    [
        ("AE", "T", True), ("AE", "F", True), ("AE", "U", True), ("AE", "", True),
        ("X", "F", False), ("X", "T", False), ("X", "U", False), ("C", "", False),
        ("D", "F", None), ("D", "T", None), ("AREA NOT INCLUDED", "F", None),
        ("OPEN WATER", "T", True), ("OPEN WATER", "F", None), ("OPEN WATER", "U", None),
        ("A12", "", True), ("V30", "F", True), ("A31", "U", None), ("AR/AE", "T", True),
        ("Q", "T", True), ("Q", "F", False), ("Q", "U", None),
    ],
)  # fmt: skip
def test_the_flag_falls_back_to_the_zone(zone, flag, sfha):
    assert layer_sfha(zone, flag) is sfha


@pytest.mark.parametrize(
    ("zone", "known"),
    [("a 99", ZoneClass.UNKNOWN), ("A99", ZoneClass.APPROXIMATE), ("ao", ZoneClass.DEPTH),
     ("V4", ZoneClass.COASTAL), ("B", ZoneClass.OUTSIDE), ("X500", ZoneClass.OUTSIDE),
     ("0.2 PCT ANNUAL CHANCE FLOOD HAZARD", ZoneClass.OUTSIDE), ("", ZoneClass.UNKNOWN)],
)  # fmt: skip
def test_older_zones_have_their_class(zone, known):
    assert zone_class(zone) is known


def test_minimal_is_only_what_says_so():
    assert is_minimal("X", "AREA OF MINIMAL FLOOD HAZARD")
    assert is_minimal("C")
    assert not is_minimal("X")
    assert not is_minimal("X", "0.2PCT ANNUAL CHANCE FLOOD HAZARD IN COASTAL ZONE")
    assert not is_minimal("X", "AREA WITH REDUCED FLOOD RISK DUE TO LEVEE")
    assert not is_minimal("AE", "AREA OF MINIMAL FLOOD HAZARD")
    assert subtype_class("something new") is SubtypeClass.OTHER


def test_hazards_rank_from_waves_down_to_minimal():
    def ranked(zone, subtype=""):
        return hazard_rank(
            flood_area({"FLD_ZONE": zone, "ZONE_SUBTY": subtype, "SFHA_TF": ""}, SQUARE)
        )

    order = [
        ranked("VE"),
        ranked("AE", "FLOODWAY"),
        ranked("AE"),
        ranked("A"),
        ranked("D"),
        ranked("X", "0.2 PCT ANNUAL CHANCE FLOOD HAZARD"),
        ranked("X"),
        ranked("X", "AREA OF MINIMAL FLOOD HAZARD"),
    ]
    assert order == sorted(set(order), reverse=True)
