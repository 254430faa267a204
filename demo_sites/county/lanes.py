"""Lanes and drives: dead ends drawn by chance along the planned roads, where there is room."""

from collections import defaultdict
from itertools import pairwise
from math import cos, floor, radians, sin
from random import Random

from demo_sites.county.frame import Place, bearing_deg, valley_of
from demo_sites.county.lines import Line, along, length_m, nearest_on, smooth_line
from demo_sites.county.names import LANE_FIRST, LANE_LAST
from demo_sites.county.network import joined_ends
from demo_sites.county.road_plan import (
    Road,
    cross_roads,
    main_roads,
    plain_roads,
    town_streets,
    village_streets,
)
from demo_sites.county.terrain import NORTH, SOUTH, half_river_m, river_m, shore_m

ROOM_M = 45.0
"""A lane keeps this far from every other road [m]."""
CELL_M = 80.0
SPACING_M = {"primary": 950.0, "secondary": 620.0, "tertiary": 420.0, "unclassified": 430.0}
"""Mean spacing of lanes along a planned road, by its class [m]."""


def planned_roads() -> list[Road]:
    """Return all roads that were laid out by hand, their loose ends joined."""
    return joined_ends(
        [*main_roads(), *cross_roads(), *town_streets(), *village_streets(), *plain_roads()]
    )


def all_roads(rng: Random) -> list[Road]:
    """Return the planned roads and the lanes that chance adds."""
    roads = planned_roads()
    room = Room()
    for road in roads:
        room.take(road.line)
    parents = [road for road in roads if road.highway in SPACING_M and "bridge" not in road.tags]
    names = [
        f"{first} {rng.choice(LANE_LAST)}" for first in rng.sample(LANE_FIRST, len(LANE_FIRST))
    ]
    lanes: list[Road] = []
    for parent in parents:
        lanes += _lanes_along(parent, room, names, rng, SPACING_M[parent.highway])
    for parent in [lane for lane in lanes if length_m(lane.line) > 420]:
        lanes += _lanes_along(parent, room, names, rng, 330.0, shorter=0.6)
    return roads + lanes


class Room:
    """Which ground is taken by roads, looked up by cells."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[tuple[Place, Place]]] = defaultdict(list)

    def take(self, line: Line) -> None:
        """Note that a line takes ground."""
        for a, b in pairwise(line):
            xs, ys = (
                sorted((floor(a.x / CELL_M), floor(b.x / CELL_M))),
                sorted((floor(a.y / CELL_M), floor(b.y / CELL_M))),
            )
            for x in range(xs[0], xs[1] + 1):
                for y in range(ys[0], ys[1] + 1):
                    self._cells[(x, y)].append((a, b))

    def clear_m(self, place: Place) -> float:
        """Return how far the nearest line is, at most the size of a cell [m]."""
        best, x, y = CELL_M, floor(place.x / CELL_M), floor(place.y / CELL_M)
        for cell in ((x + i, y + k) for i in (-1, 0, 1) for k in (-1, 0, 1)):
            for stretch in self._cells.get(cell, ()):
                best = min(best, nearest_on(stretch, place)[0])
        return best

    def has_room(self, lane: Line) -> bool:
        """Tell whether a lane keeps off the water and off all roads, once it has left its own."""
        for k, place in enumerate(lane[1:], 1):
            u, _ = valley_of(place)
            if in_water(place, 25) or not -4_900 < u < 31_800:
                return False
            if self.clear_m(place) < min(ROOM_M, 24.0 * k):
                return False
        return True


def _lanes_along(
    parent: Road, room: Room, names: list[str], rng: Random, spacing_m: float, shorter: float = 1.0
) -> list[Road]:
    new: list[Road] = []
    total = length_m(parent.line)
    reach = rng.uniform(0.3, 1.0) * spacing_m
    while reach < total - 60:
        side = rng.choice((-90, 90))
        for turn in (side, -side):
            lane = _lane_line(parent.line, reach, turn, shorter, rng)
            if room.has_room(lane):
                new.append(_tagged(lane, parent, names, rng))
                room.take(lane)
                break
        reach += rng.uniform(0.45, 1.55) * spacing_m
    return new


def _lane_line(parent: Line, reach: float, turn: float, shorter: float, rng: Random) -> Line:
    start, ahead = along(parent, reach)
    heading = bearing_deg(start, ahead) + turn + rng.uniform(-22, 22)
    total = shorter * min(1_300.0, 140 + rng.expovariate(1 / 380))
    pieces = 2 + int(total > 300) + int(total > 600)
    points = [start]
    for k in range(pieces):
        heading += rng.uniform(-38, 38) if k else 0
        angle = radians(heading)
        step = total / pieces
        points.append(Place(points[-1].x + step * sin(angle), points[-1].y + step * cos(angle)))
    return smooth_line(points, 50)


def in_water(place: Place, margin_m: float) -> bool:
    """Tell whether a place lies in the river or the lake, or nearer to it than a margin."""
    u, d = valley_of(place)
    if abs(d) < shore_m(u, NORTH if d > 0 else SOUTH) + margin_m:
        return u < 2_300 + margin_m
    return u > 2_000 and abs(d - river_m(u)) < 1.3 * half_river_m(u) + margin_m


def _tagged(lane: Line, parent: Road, names: list[str], rng: Random) -> Road:
    total, draw = length_m(lane), rng.random()
    name = names.pop() if names and total > 190 else ""
    address = name or parent.name or parent.address
    if draw < 0.40:
        tags = {"surface": "asphalt", "maxspeed": "25 mph"}
        return Road(name, "residential", lane, tags, address)
    if draw < 0.66:
        return Road(name, "residential", lane, {"surface": "gravel"}, address)
    tags = {"surface": "gravel", "access": "private"}
    if total < 260:
        return Road(name, "service", lane, tags | {"service": "driveway"}, address)
    return Road(name, "service", lane, tags, address)
