"""Flood zones and their subtypes by class: what counts as a special flood hazard area (SFHA).

Zones after FEMA's definitions as public restatements give them; subtypes as the national layer held
them in autumn 2026. Subtypes are matched loosely since spellings vary; the original is kept beside.
"""

import re
from enum import StrEnum

from registry.records.flood import FloodArea


class ZoneClass(StrEnum):
    """What a zone's letters stand for."""

    COASTAL = "1 % annual chance, coastal with waves"
    DETAILED = "1 % annual chance, base flood elevations worked out"
    DEPTH = "1 % annual chance, sheet flow with a depth"
    APPROXIMATE = "1 % annual chance, no base flood elevation"
    OUTSIDE = "outside the 1 % annual chance flood"
    UNDETERMINED = "possible but undetermined"
    OPEN_WATER = "open water, a map code"
    NOT_INCLUDED = "area not included, a map code"
    UNKNOWN = "a word that is not known"


class SubtypeClass(StrEnum):
    """What a zone's subtype stands for."""

    NONE = "no subtype"
    UNDETERMINED = "undetermined beside a levee"
    LEVEE = "behind a levee"
    FLOODWAY = "floodway"
    ENCROACHMENT = "kept free for the flood"
    FUTURE = "1 % under future conditions"
    SHADED = "0.2 % annual chance"
    SHALLOW = "1 % under a foot deep, or from under a square mile"
    CONTAINED = "1 % contained in a channel or structure"
    FLOOD_PLAIN = "coastal flood plain"
    SPECIAL = "special consideration, easement or fringe"
    MINIMAL = "minimal hazard"
    OTHER = "another wording"


SFHA_CLASSES = frozenset(
    {ZoneClass.COASTAL, ZoneClass.DETAILED, ZoneClass.DEPTH, ZoneClass.APPROXIMATE}
)

_ZONES = {
    "A": ZoneClass.APPROXIMATE,
    "A99": ZoneClass.APPROXIMATE,
    "AE": ZoneClass.DETAILED,
    "AH": ZoneClass.DETAILED,
    "AR": ZoneClass.DETAILED,
    "AO": ZoneClass.DEPTH,
    "V": ZoneClass.COASTAL,
    "VE": ZoneClass.COASTAL,
    "X": ZoneClass.OUTSIDE,
    "B": ZoneClass.OUTSIDE,
    "C": ZoneClass.OUTSIDE,
    "X500": ZoneClass.OUTSIDE,
    "D": ZoneClass.UNDETERMINED,
    "OPEN WATER": ZoneClass.OPEN_WATER,
    "AREA NOT INCLUDED": ZoneClass.NOT_INCLUDED,
    "ANI": ZoneClass.NOT_INCLUDED,
}

_SUBTYPES = (
    ("UNDETERMINED", SubtypeClass.UNDETERMINED),
    ("LEVEE", SubtypeClass.LEVEE),
    ("FLOODWAY", SubtypeClass.FLOODWAY),
    ("ENCROACHMENT", SubtypeClass.ENCROACHMENT),
    ("FUTURE", SubtypeClass.FUTURE),
    ("0.2P", SubtypeClass.SHADED),
    ("DEPTHLESSTHAN", SubtypeClass.SHALLOW),
    ("DRAINAGEAREALESSTHAN", SubtypeClass.SHALLOW),
    ("CONTAINED", SubtypeClass.CONTAINED),
    ("FLOODPLAIN", SubtypeClass.FLOOD_PLAIN),
    ("SPECIALCONSIDERATION", SubtypeClass.SPECIAL),
    ("FLOWAGEEASEMENT", SubtypeClass.SPECIAL),
    ("DENSITYFRINGE", SubtypeClass.SPECIAL),
    ("MINIMAL", SubtypeClass.MINIMAL),
)
"""Part of a subtype without its spaces → class; the first that fits wins."""


def zone_class(zone: str) -> ZoneClass:
    """Return what a zone's letters stand for; numbered and dual zones of older maps included."""
    letters = " ".join(zone.upper().split())
    if letters in _ZONES:
        return _ZONES[letters]
    if letters.startswith("AR/"):
        return ZoneClass.DETAILED
    if letters.startswith("0.2 P"):
        return ZoneClass.OUTSIDE
    numbered = re.fullmatch(r"([AV])(\d{1,2})", letters)
    if numbered and 1 <= int(numbered[2]) <= 30:
        return ZoneClass.DETAILED if numbered[1] == "A" else ZoneClass.COASTAL
    return ZoneClass.UNKNOWN


def subtype_class(subtype: str) -> SubtypeClass:
    """Return what a subtype stands for, matched without regard to spaces and case."""
    plain = "".join(subtype.upper().split())
    if plain in {"", "<NULL>", "-9999", "NP"}:
        return SubtypeClass.NONE
    for part, meaning in _SUBTYPES:
        if part in plain:
            return meaning
    return SubtypeClass.OTHER


def is_minimal(zone: str, subtype: str = "") -> bool:
    """Tell whether a place is of minimal flood hazard: unshaded X or the older C.

    Zone X with a levee, 0.2 % or other subtype is outside the 1 % flood but not minimal; X without
    a subtype does not say.
    """
    if zone_class(zone) is not ZoneClass.OUTSIDE:
        return False
    return zone.strip().upper() == "C" or subtype_class(subtype) is SubtypeClass.MINIMAL


def layer_sfha(zone: str, sfha_tf: str) -> bool | None:
    """Return whether an area is a special flood hazard area, None where the layer leaves it open.

    SFHA_TF is read and falls back to the zone where it is U or contradicts it: a T on zone X and an
    F on zone AE are faults of the layer. Zone D is undetermined whatever SFHA_TF says; open water
    and areas not included are map codes, and an F there does not mean "safe".

    Parameters
    ----------
    zone
        FLD_ZONE.
    sfha_tf
        SFHA_TF: T, F, U or no value.

    Returns
    -------
    bool or None
        True in a special flood hazard area, False outside, None undetermined.

    References
    ----------
    Values that FEMA's national layer held in autumn 2026: X with T in 14 areas, AE with F in 2,
    OPEN WATER with T in 15 and U in 5, of 5,810,408.
    """
    known = zone_class(zone)
    if known in SFHA_CLASSES:
        return True
    if known is ZoneClass.OUTSIDE:
        return False
    if known in {ZoneClass.UNDETERMINED, ZoneClass.NOT_INCLUDED}:
        return None
    flag = sfha_tf.strip().upper()
    if flag == "T":
        return True
    return False if flag == "F" and known is ZoneClass.UNKNOWN else None


def hazard_rank(area: FloodArea) -> int:
    """Return how hazardous an area is, the highest first where areas overlap.

    From above: coastal with waves; floodway and ground kept free for the flood; other special flood
    hazard areas, those with elevations first; undetermined; outside but behind a levee, shaded or
    otherwise of note; outside; minimal. The order is ours: the caution that matters most wins, and
    what is undetermined is never hidden by what is outside.
    """
    subtype = subtype_class(area.subtype)
    zone = zone_class(area.zone)
    if area.sfha:
        if zone is ZoneClass.COASTAL:
            return 60
        if subtype in {SubtypeClass.FLOODWAY, SubtypeClass.ENCROACHMENT}:
            return 50
        return 41 if zone is ZoneClass.DETAILED else 40
    if area.sfha is None:
        return 30
    if subtype is SubtypeClass.NONE:
        return 11
    return 10 if is_minimal(area.zone, area.subtype) else 20
