"""Which ways of an OpenStreetMap file a service truck may drive, which way round, and how fast."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from registry.units import M_PER_MI

KM_PER_MI = M_PER_MI / 1000

ROAD_SPEEDS_KM_H: Mapping[str, float] = MappingProxyType(
    {
        "motorway": 90.0,
        "motorway_link": 45.0,
        "trunk": 80.0,
        "trunk_link": 40.0,
        "primary": 62.0,
        "primary_link": 30.0,
        "secondary": 54.0,
        "secondary_link": 25.0,
        "tertiary": 42.0,
        "tertiary_link": 20.0,
        "unclassified": 32.0,
        "residential": 30.0,
        "road": 28.0,
        "living_street": 12.0,
    }
)
"""Speed on an open stretch by class; our estimate, set so that whole trips agree with OSRM's."""

LANE_SPEEDS_KM_H: Mapping[str, float] = MappingProxyType({"service": 15.0, "track": 15.0})
"""Speed on lanes, drives and tracks; our estimate: a loaded truck on gravel between gates."""

SURFACE_LIMITS_KM_H: Mapping[str, float] = MappingProxyType(
    {
        "gravel": 40.0,
        "unpaved": 40.0,
        "ground": 30.0,
        "dirt": 30.0,
        "grass": 20.0,
        "earth": 20.0,
        "sand": 15.0,
        "mud": 10.0,
        "cobblestone": 30.0,
        "sett": 35.0,
        "wood": 30.0,
    }
)
"""No faster than this on such a surface; our estimate for a truck with water on board."""

SIGNED_SHARE = 0.8
"""Share of the signed limit that is driven on average, as in OSRM's car profile."""

SLOWEST_SIGN_KM_H = 5.0
"""A signed limit below this is taken for a slip of the mapper."""

LEGAL_KEYS = ("motorcar", "motor_vehicle", "vehicle", "access")
"""Keys that say who may drive, the most specific first."""

CLOSED_TO_ALL = frozenset({"no", "agricultural", "forestry", "emergency", "military", "bus", "psv"})
ONLY_TO_A_PLACE_ON_IT = frozenset(
    {"private", "destination", "customers", "delivery", "permit", "residents"}
)
"""A service visit is business with the place at the end, so these may begin or end a drive."""

WITH_THE_WAY = frozenset({"yes", "1", "true"})
AGAINST_THE_WAY = frozenset({"-1", "reverse"})
ONE_WAY_BY_NATURE = frozenset({"motorway"})
ROUNDABOUTS = frozenset({"roundabout", "circular"})


@dataclass(frozen=True, slots=True)
class Drivable:
    """How one way may be driven; ``last_leg`` = only at the beginning or the end of a drive."""

    speed_km_h: float
    forward: bool
    backward: bool
    last_leg: bool = False


type Rule = Callable[[Mapping[str, str]], Drivable | None]
"""From a way's tags to how it may be driven, None if it may not."""


def truck_rule(tags: Mapping[str, str]) -> Drivable | None:
    """Return how a service truck may drive a way, by its tags.

    Beyond the public roads it takes service roads and tracks, for most onsite systems lie at the
    end of one. Tracks, and every way that only those with business there may use, count as a last
    leg: a drive may begin or end on them, never pass through.
    """
    highway = tags.get("highway", "")
    speed = ROAD_SPEEDS_KM_H.get(highway) or LANE_SPEEDS_KM_H.get(highway)
    if speed is None or tags.get("area") == "yes" or tags.get("impassable") == "yes":
        return None
    allowed = next((tags[key] for key in LEGAL_KEYS if key in tags), "yes")
    if allowed in CLOSED_TO_ALL or tags.get("service") == "emergency_access":
        return None
    forward, backward = _directions(tags)
    if not (forward or backward):
        return None
    last_leg = highway == "track" or allowed in ONLY_TO_A_PLACE_ON_IT
    return Drivable(_speed_km_h(tags, speed), forward, backward, last_leg)


def plain_rule(tags: Mapping[str, str]) -> Drivable | None:
    """Return how a way may be driven by the plain rule that published graph counts are made with.

    Public roads only, no service road and no track; a way is left out where any of the access keys
    says no or private; turn restrictions are ignored.
    """
    speed = ROAD_SPEEDS_KM_H.get(tags.get("highway", ""))
    if speed is None or any(tags.get(key) in {"no", "private"} for key in LEGAL_KEYS):
        return None
    forward, backward = _directions(tags)
    return Drivable(speed, forward, backward)


def _directions(tags: Mapping[str, str]) -> tuple[bool, bool]:
    oneway = tags.get("oneway")
    if oneway in WITH_THE_WAY:
        return True, False
    if oneway in AGAINST_THE_WAY:
        return False, True
    if oneway == "reversible":
        return False, False
    by_nature = tags.get("highway") in ONE_WAY_BY_NATURE or tags.get("junction") in ROUNDABOUTS
    return (True, False) if oneway is None and by_nature else (True, True)


def _speed_km_h(tags: Mapping[str, str], by_class: float) -> float:
    signed = signed_limit_km_h(tags.get("maxspeed", ""))
    speed = by_class if signed is None else signed * SIGNED_SHARE
    limit = SURFACE_LIMITS_KM_H.get(tags.get("surface", ""))
    return speed if limit is None else min(speed, limit)


def signed_limit_km_h(text: str) -> float | None:
    """Return a ``maxspeed`` tag in km/h, None where it is absent or not a plain number."""
    number, _, unit = text.strip().partition(" ")
    if not unit and number.endswith("mph"):
        number, unit = number.removesuffix("mph"), "mph"
    if not number.isascii() or not number.isdigit() or unit not in {"", "mph", "km/h", "kmh"}:
        return None
    value = float(number) * (KM_PER_MI if unit == "mph" else 1.0)
    return value if value >= SLOWEST_SIGN_KM_H else None
