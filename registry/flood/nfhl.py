"""Values of FEMA's National Flood Hazard Layer: what its fields mean, nulls and faults included.

Field names by the layer's public metadata (Florida Geographic Data Library's copy, 2018):
FLD_ZONE, ZONE_SUBTY (FLOODWAY in data of 2009 and before), SFHA_TF, STATIC_BFE, DEPTH, V_DATUM,
LEN_UNIT; ELEV of base flood elevation lines from memory. Nulls are −9999 and −8888 (seen in public
code; from memory of the FIRM database's technical reference).
"""

import math
from collections.abc import Mapping

from registry.errors import RangeError
from registry.flood.zones import layer_sfha
from registry.records.elevation import Elevation
from registry.records.flood import BfeLine, FloodArea
from registry.units import FT_PER_M

NULL_WORDS = frozenset({"", "<NULL>", "NULL", "NP", "NONE", "NAN", "-9999", "-8888"})
"""Texts that mean "no value"."""

LEAST_ELEVATION = -1000.0
"""Anything below is a null such as −9999 or −8888 and never an elevation; no ground lies so low."""

FT_PER_UNIT = {
    "": 1.0,
    "FEET": 1.0,
    "FOOT": 1.0,
    "FT": 1.0,
    "METERS": FT_PER_M,
    "METRES": FT_PER_M,
    "METER": FT_PER_M,
    "M": FT_PER_M,
    "CENTIMETERS": FT_PER_M / 100,
    "CM": FT_PER_M / 100,
}
"""LEN_UNIT → feet; left blank it means feet, the layer's usual unit (from memory)."""

_YES = frozenset({"T", "Y", "YES", "TRUE", "1"})
_NO = frozenset({"F", "N", "NO", "FALSE", "0"})


def text_value(value: object) -> str:
    """Return an attribute's text, "" for every spelling of no value."""
    text = "" if value is None else str(value).strip()
    if text.upper() in NULL_WORDS or text.upper() in {"-9999.0", "-8888.0"}:
        return ""
    return text


def number_value(value: object) -> float | None:
    """Return an attribute's number, None for every spelling of no value.

    Raises
    ------
    RangeError
        If the value is neither a number nor a null.
    """
    text = text_value(value)
    if not text:
        return None
    try:
        number = float(text)
    except ValueError:
        raise RangeError(f"“{text}” is not a number: give a number or leave it empty") from None
    if math.isnan(number):
        return None
    if math.isinf(number):
        raise RangeError(f"“{text}” is not a number: give a number or leave it empty")
    return None if number < LEAST_ELEVATION else number


def length_ft(value: object, unit: object) -> float | None:
    """Return a length in feet from the layer's number and its LEN_UNIT, None for no value.

    Raises
    ------
    RangeError
        If the number or the unit cannot be read.
    """
    number = number_value(value)
    if number is None:
        return None
    word = text_value(unit).upper()
    if word not in FT_PER_UNIT:
        raise RangeError(f"“{text_value(unit)}” is no unit of length: give Feet or Meters")
    return number * FT_PER_UNIT[word]


def elevation_value(value: object, datum: object, unit: object) -> Elevation | None:
    """Return an elevation from the layer's number, V_DATUM and LEN_UNIT, None for no value.

    Raises
    ------
    RangeError
        If the number or the unit cannot be read.
    """
    value_ft = length_ft(value, unit)
    return None if value_ft is None else Elevation(value_ft, text_value(datum))


def flood_area(given: Mapping[str, object], geometry: object, source_key: str = "") -> FloodArea:
    """Return a flood hazard area from the attributes of one feature of the layer.

    Parameters
    ----------
    given
        The attributes as published; names in any case.
    geometry
        Its shapely polygon in EPSG:4326.
    source_key
        What tells this feature from others; default DFIRM_ID and FLD_AR_ID.

    Returns
    -------
    FloodArea
        With nulls taken out, lengths in feet and the published attributes kept.

    Raises
    ------
    RangeError
        If there is no zone, or a number or unit cannot be read. A layer without a zone is asked
        about, never guessed.
    """
    of = {name.upper(): value for name, value in given.items()}
    zone = " ".join(text_value(of.get("FLD_ZONE")).upper().split())
    if not zone:
        raise RangeError("no flood zone is given: map a column to it, or state one for the file")
    unit = of.get("LEN_UNIT")
    key = source_key or "/".join(
        filter(None, (text_value(of.get("DFIRM_ID")), text_value(of.get("FLD_AR_ID"))))
    )
    return FloodArea(
        source_key=key,
        zone=zone,
        subtype=text_value(of.get("ZONE_SUBTY")) or _old_floodway(of.get("FLOODWAY")),
        sfha=layer_sfha(zone, text_value(of.get("SFHA_TF"))),
        static_bfe=elevation_value(of.get("STATIC_BFE"), of.get("V_DATUM"), unit),
        depth_ft=length_ft(of.get("DEPTH"), unit),
        geometry=geometry,
        given={name: "" if value is None else str(value) for name, value in given.items()},
    )


def bfe_line(given: Mapping[str, object], geometry: object, source_key: str = "") -> BfeLine:
    """Return a base flood elevation line from the attributes of one feature of the layer.

    Parameters
    ----------
    given
        The attributes as published; names in any case.
    geometry
        Its shapely line in EPSG:4326.
    source_key
        What tells this feature from others; default DFIRM_ID and BFE_LN_ID.

    Returns
    -------
    BfeLine
        With its elevation in feet.

    Raises
    ------
    RangeError
        If there is no elevation, or it cannot be read.
    """
    of = {name.upper(): value for name, value in given.items()}
    elevation = elevation_value(of.get("ELEV"), of.get("V_DATUM"), of.get("LEN_UNIT"))
    if elevation is None:
        raise RangeError("the line has no elevation: give ELEV, or leave the line out")
    key = source_key or "/".join(
        filter(None, (text_value(of.get("DFIRM_ID")), text_value(of.get("BFE_LN_ID"))))
    )
    return BfeLine(source_key=key, elevation=elevation, geometry=geometry)


def _old_floodway(value: object) -> str:
    """Return the subtype that the FLOODWAY column of older data stands for."""
    text = text_value(value)
    if text.upper() in _YES:
        return "FLOODWAY"
    return "" if text.upper() in _NO else text
