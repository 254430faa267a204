"""Where the homes stand: spots beside roads, chosen so that every kind of ground is served."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from random import Random

from demo_sites.county.flood_layers import zone_at
from demo_sites.county.frame import Place, bearing_deg, distance_m, valley_of
from demo_sites.county.lanes import Room, in_water
from demo_sites.county.road_plan import Road
from demo_sites.county.terrain import LAKE_HEAD_U, bfe_ft, ground_ft, plain_m

APART_M = 58.0
"""Homes stand this far apart, half of it in the town [m]."""
TOWN_BOX = (10_900.0, 13_000.0, 200.0, 1_650.0)
"""Ground of the town: lowest and highest station and offset [m]."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place where a home may stand, and what is known of the ground there."""

    place: Place
    u: float
    d: float
    road: Road
    heading: float
    """Bearing of the road beside the home [deg]."""
    number: int
    """House number: metres along the road, evened to tens."""
    zone: str
    subtype: str
    ground_ft: float

    @property
    def in_town(self) -> bool:
        """Tell whether the spot lies in the town, which has its own rules."""
        low, high, near, far = TOWN_BOX
        return low < self.u < high and near < self.d < far

    @property
    def bfe_ft(self) -> float | None:
        """Return the base flood elevation here, None where none was studied."""
        return bfe_ft(self.u) if self.zone == "AE" else None


def spots_along(road: Road, room: Room, rng: Random) -> list[Spot]:
    """Return the spots along one road that are on firm ground and clear of other roads."""
    found, reach, next_at = [], 0.0, rng.uniform(25, 60)
    for a, b in pairwise(road.line):
        piece = hypot(b.x - a.x, b.y - a.y)
        while piece and next_at <= reach + piece:
            share, side = (next_at - reach) / piece, rng.choice((-1, 1))
            off = rng.uniform(21, 30) if road.highway == "residential" else rng.uniform(28, 62)
            place = Place(
                a.x + share * (b.x - a.x) - side * off * (b.y - a.y) / piece,
                a.y + share * (b.y - a.y) + side * off * (b.x - a.x) / piece,
            )
            number = 10 * round(next_at / 10) + (1 if side > 0 else 2)
            if room.clear_m(place) > 17 and not in_water(place, 30):
                u, d = valley_of(place)
                zone, subtype = zone_at(u, d)
                heading = bearing_deg(a, b)
                found.append(
                    Spot(place, u, d, road, heading, number, zone, subtype, ground_ft(u, d))
                )
            next_at += rng.uniform(34, 70)
        reach += piece
    return found


def _is_edge(spot: Spot) -> bool:
    return spot.zone in {"AE", "X"} and abs(spot.ground_ft - bfe_ft(spot.u)) < 3.2


GROUPS: tuple[tuple[str, int, Callable[[Spot], bool]], ...] = (
    ("floodway", 4, lambda s: s.subtype == "FLOODWAY"),
    ("creek", 6, lambda s: s.zone == "A" and s.u < 12_000),
    ("upper", 5, lambda s: s.zone == "A" and s.u > 28_000),
    ("sheet", 3, lambda s: s.zone == "AO"),
    ("undetermined", 2, lambda s: s.zone == "D"),
    ("shaded", 7, lambda s: "0.2" in s.subtype),
    ("edge", 16, lambda s: _is_edge(s) and not s.in_town),
    ("lake", 20, lambda s: s.u < LAKE_HEAD_U and s.zone == "AE"),
    ("plain", 54, lambda s: s.zone == "AE" and s.u > 3_000 and not s.in_town),
    ("town", 30, lambda s: s.in_town),
    (
        "terrace",
        44,
        lambda s: s.zone == "X" and abs(s.d) < plain_m(s.u, 1 if s.d > 0 else -1) + 800,
    ),
    ("hill", 46, lambda s: s.zone == "X" and abs(s.d) > plain_m(s.u, 1 if s.d > 0 else -1) + 900),
)
"""Name of a group of homes, how many, and which spots belong to it; the first that fits."""


def choose_spots(roads: list[Road], room: Room, rng: Random) -> list[tuple[str, Spot]]:
    """Return the chosen spots with their groups, in the order of the valley, upstream."""
    spots = [
        spot
        for road in roads
        if road.highway not in {"primary", "secondary"} and (road.name or "access" in road.tags)
        for spot in spots_along(road, room, rng)
    ]
    rng.shuffle(spots)
    chosen: list[tuple[str, Spot]] = []
    for name, count, fits in GROUPS:
        left = count
        for spot in spots:
            if left == 0:
                break
            apart = APART_M / 2 if spot.in_town else APART_M
            if fits(spot) and all(distance_m(spot.place, o.place) > apart for _, o in chosen):
                chosen.append((name, spot))
                left -= 1
    return sorted(chosen, key=lambda one: (one[1].u, one[1].d))
