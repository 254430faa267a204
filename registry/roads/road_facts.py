"""What the tags of a way say beside how it is driven: its names, its class, who may not use it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, nan

from registry.roads.drivable import LEGAL_KEYS, signed_limit_km_h
from registry.units import FT_PER_M, IN_PER_FT, KG_PER_T, LB_PER_KG, LB_PER_SHORT_TON

NAME_KEYS = ("name", "ref", "alt_name", "official_name", "bridge:name")
PAVED = frozenset({"", "asphalt", "concrete", "paved", "chipseal", "concrete:plates"})
"""Surfaces on which the table's speed for gravel does not count; unknown counts as paved."""
PRIVATE = frozenset({"private", "permit", "residents"})
LB_PER_UNIT = {
    "": KG_PER_T * LB_PER_KG,
    "t": KG_PER_T * LB_PER_KG,
    "kg": LB_PER_KG,
    "st": LB_PER_SHORT_TON,
    "lb": 1.0,
    "lbs": 1.0,
}
"""Units of ``maxweight``, tonnes unless one is said: OpenStreetMap wiki, "Key:maxweight"."""
WEIGHT = re.compile(r"(\d+(?:\.\d+)?) ?(t|kg|st|lbs?)?")
METRES = re.compile(r"(\d+(?:\.\d+)?) ?m?")
FEET = re.compile(r"(\d+(?:\.\d+)?) ?(?:'|ft|feet)(?: ?(\d+(?:\.\d+)?) ?(?:\"|in|''))?")
TRUCKS_BARRED = frozenset({"no", "unsuitable"})


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadFacts:
    """One way: ``names`` are all it is known by, in small letters, between semicolons.

    ``signed_km_h`` is nan, the limits infinite where none is signed.
    """

    names: str
    kind: str
    is_loose: bool
    is_private: bool
    signed_km_h: float
    weight_limit_lb: float
    height_limit_ft: float
    bars_trucks: bool


def road_facts(tags: Mapping[str, str]) -> RoadFacts:
    """Return what a way's tags say."""
    names = [part for key in NAME_KEYS for part in tags.get(key, "").split(";")]
    allowed = next((tags[key] for key in LEGAL_KEYS if key in tags), "yes")
    signed = signed_limit_km_h(tags.get("maxspeed", ""))
    return RoadFacts(
        names=";".join(dict.fromkeys(said for name in names if (said := as_name(name)))),
        kind=tags.get("highway", ""),
        is_loose=tags.get("surface", "") not in PAVED,
        is_private=allowed in PRIVATE,
        signed_km_h=nan if signed is None else signed,
        weight_limit_lb=weight_lb(tags.get("maxweight", "")),
        height_limit_ft=height_ft(tags.get("maxheight", "")),
        bars_trucks=tags.get("hgv") in TRUCKS_BARRED,
    )


def as_name(text: str) -> str:
    """Return a name as names are compared: small letters, single spaces."""
    return " ".join(text.casefold().split())


def weight_lb(text: str) -> float:
    """Return a ``maxweight`` tag in pounds, infinite where it is absent or no plain weight."""
    found = WEIGHT.fullmatch(text.strip().lower())
    return float(found[1]) * LB_PER_UNIT[found[2] or ""] if found else inf


def height_ft(text: str) -> float:
    """Return a ``maxheight`` tag in feet, infinite where it is absent or no plain height.

    Metres unless feet are said: OpenStreetMap wiki, "Key:maxheight".
    """
    said = text.strip().lower().replace("′", "'").replace("″", '"')
    if in_feet := FEET.fullmatch(said):
        return float(in_feet[1]) + float(in_feet[2] or 0.0) / IN_PER_FT
    in_metres = METRES.fullmatch(said)
    return float(in_metres[1]) * FT_PER_M if in_metres else inf
