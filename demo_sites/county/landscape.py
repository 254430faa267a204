"""What a map shows besides roads: water, woods, fields, built-up ground, names of places."""

from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin, sqrt, tau
from random import Random

from demo_sites.county.frame import Place, place_at
from demo_sites.county.lanes import Room, in_water
from demo_sites.county.road_plan import bench_d, highway_d
from demo_sites.county.terrain import (
    CREEKS,
    HEAD_U,
    LAKE_FOOT_U,
    LAKE_HEAD_U,
    NORTH,
    SOUTH,
    creek_u,
    half_river_m,
    plain_m,
    river_m,
    shore_m,
)

BUILT = (
    (10_700.0, 13_150.0, 230.0, 1_700.0),
    (-700.0, 1_300.0, 0.0, 2_200.0),
    (5_850.0, 7_100.0, -950.0, -250.0),
    (16_800.0, 17_900.0, -820.0, 60.0),
    (19_900.0, 21_100.0, 650.0, 1_400.0),
    (22_600.0, 23_700.0, 250.0, 1_200.0),
)
"""The town and the villages with some ground around: lowest and highest station and offset [m]."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A line or an area of the landscape and its OpenStreetMap tags."""

    outline: tuple[Place, ...]
    tags: dict[str, str]
    is_area: bool = True


@dataclass(frozen=True, slots=True)
class Named:
    """A named place as a point."""

    place: Place
    tags: dict[str, str]


def _steps(low: float, high: float, step: float) -> list[float]:
    count = max(1, round((high - low) / step))
    return [low + (high - low) * k / count for k in range(count + 1)]


def water() -> list[Shape]:
    """Return the lake, the river, the creeks and some ponds."""
    lake = [place_at(u, shore_m(u, NORTH)) for u in _steps(LAKE_FOOT_U, LAKE_HEAD_U, 45)]
    lake += [place_at(u, -shore_m(u, SOUTH)) for u in _steps(LAKE_HEAD_U, LAKE_FOOT_U, -45)[1:-1]]
    run = _steps(LAKE_HEAD_U - 350, HEAD_U, 38)
    banks = [_bank(u, 1) for u in run] + [_bank(u, -1) for u in reversed(run)]
    middle = [place_at(u, river_m(u)) for u in _steps(LAKE_HEAD_U - 1_200, HEAD_U, 38)]
    shapes = [
        Shape(tuple(lake), {"natural": "water", "water": "lake", "name": "Mirrin Lake"}),
        Shape(tuple(banks), {"natural": "water", "water": "river", "name": "Ellerwash River"}),
        Shape(tuple(middle[::-1]), {"waterway": "river", "name": "Ellerwash River"}, is_area=False),
    ]
    for creek in CREEKS:
        name, side, _, far = creek
        foot = abs(river_m(creek_u(creek, side * 100.0)))
        start = foot if side * river_m(creek[2]) > 0 else -foot
        line = [place_at(creek_u(creek, side * d), side * d) for d in _steps(start, far, 60)]
        shapes.append(Shape(tuple(line[::-1]), {"waterway": "stream", "name": name}, is_area=False))
    shapes.append(_oxbow(6_420, 690, 230, 150))
    shapes.append(_oxbow(13_150, -120, 210, 130))
    shapes.append(_oxbow(8_000, -640, 200, 140))
    shapes += [
        _blob(place_at(u, d), r, {"natural": "water", "water": "pond"}, u)
        for u, d, r in (
            (10_650, 2_350, 55), (16_900, -2_150, 70), (22_400, 1_900, 60), (4_300, -2_500, 50),
            (27_900, 1_650, 48), (18_050, 4_200, 65), (13_300, -4_350, 60),
        )
    ]  # fmt: skip
    return shapes


def _bank(u: float, side: int) -> Place:
    lean = (river_m(u + 15) - river_m(u - 15)) / 30
    half = half_river_m(u)
    along = sqrt(1 + lean * lean)
    return place_at(u - side * half * lean / along, river_m(u) + side * half / along)


def _oxbow(u: float, d: float, reach: float, width: float) -> Shape:
    """Return a crescent of still water in an old bend of the river."""
    outer = [(k / 14 * tau * 0.62 - 0.4) for k in range(15)]
    ring = [place_at(u + reach * cos(a), d + width * sin(a)) for a in outer]
    ring += [
        place_at(u + (reach - 44) * cos(a), d + (width - 40) * sin(a)) for a in reversed(outer)
    ]
    return Shape(tuple(ring), {"natural": "water", "water": "oxbow"})


def _blob(middle: Place, radius: float, tags: dict[str, str], phase: float) -> Shape:
    ring = []
    for k in range(20):
        a = k / 20 * tau
        r = radius * (1 + 0.22 * sin(2 * a + phase) + 0.13 * sin(3 * a + 2 * phase))
        ring.append(Place(middle.x + r * cos(a), middle.y + 0.8 * r * sin(a)))
    return Shape(tuple(ring), tags)


def woods(rng: Random) -> list[Shape]:
    """Return the woods: broad forest on the hills, patches on the terraces, strips by the river."""
    shapes = []
    wood = {"natural": "wood"}
    for side in (NORTH, SOUTH):
        cuts = [-4_900.0]
        while cuts[-1] < HEAD_U - 3_500:
            cuts.append(cuts[-1] + rng.uniform(2_100, 5_200))
        cuts.append(HEAD_U - 100)
        leans = [rng.uniform(-700, 700) for _ in cuts]
        phases = (rng.uniform(0, 6), rng.uniform(0, 6))
        for k in range(len(cuts) - 1):
            gap = rng.choice((-40, -40, -40, 160))
            ends = ((cuts[k], leans[k]), (cuts[k + 1] - gap, leans[k + 1]))
            shapes.append(_hill_wood(ends, side, phases))
    for _ in range(95):
        u = rng.uniform(-3_500, HEAD_U - 500)
        side = rng.choice((NORTH, SOUTH))
        d = side * (plain_m(u, side) + rng.uniform(420, 1_350))
        shapes.append(_blob(place_at(u, d), rng.uniform(70, 260), wood, rng.uniform(0, 6)))
    for _ in range(70):
        u, side = rng.uniform(2_800, HEAD_U - 300), rng.choice((-1, 1))
        d = river_m(u) + side * (half_river_m(u) + rng.uniform(110, 190))
        if abs(d) < plain_m(u, NORTH if d > 0 else SOUTH) - 40:
            tags = rng.choice((wood, {"natural": "wetland"}, {"natural": "scrub"}))
            shapes.append(_blob(place_at(u, d), rng.uniform(45, 80), tags, rng.uniform(0, 6)))
    return shapes


def _hill_wood(
    ends: tuple[tuple[float, float], tuple[float, float]], side: int, phases: tuple[float, float]
) -> Shape:
    """Return a stretch of hill forest; ``ends`` are the stations of its sides and how they lean."""
    (low, low_lean), (high, high_lean) = ends

    def foot(u: float) -> float:
        wave = 230 * sin(u / 390 + phases[0]) + 130 * sin(u / 171 + phases[1]) + 60 * sin(u / 83)
        return plain_m(u, side) + 1_250 + wave

    def edge(u: float, lean: float, up: float) -> Place:
        depth = foot(u) + up * (6_100 + 160 * sin(u / 310) - foot(u))
        return place_at(u + lean * up + 60 * sin(7 * up + lean) * up, side * depth)

    shares = [k / 7 for k in range(1, 7)]
    ring = [edge(u, 0, 0) for u in _steps(low, high, 75)]
    ring += [edge(high, high_lean, up) for up in shares]
    tops = _steps(1, 0, -0.06)
    ring += [
        edge(low + share * (high - low), low_lean + share * (high_lean - low_lean), 1)
        for share in tops
    ]
    ring += [edge(low, low_lean, up) for up in reversed(shares)]
    return Shape(tuple(ring), {"natural": "wood"})


def fields(rng: Random) -> list[Shape]:
    """Return the fields of the flood plain and the terraces."""
    shapes = []
    for side, road in ((NORTH, highway_d), (SOUTH, lambda u: -bench_d(u))):
        u = 2_900.0
        while u < 30_500:
            wide = rng.uniform(240, 520)
            shapes += _row(u + 18, u + wide - 18, side, road, rng)
            u += wide
    return shapes


def _row(low: float, high: float, side: int, road: object, rng: Random) -> list[Shape]:
    shapes = []
    middle = (low + high) / 2
    near = side * river_m(middle) + half_river_m(middle) + 200
    far = float(road(middle)) - 40  # type: ignore[operator]
    if side == SOUTH:
        near += 30
    for k, (start, end) in enumerate(_split(near, far, rng)):
        kind = rng.choices(("farmland", "meadow", "orchard", ""), (52, 27, 7, 14))[0]
        if kind and end - start > 90 and not _is_built(middle, side * (start + end) / 2):
            skew = 25 * sin(low + k)
            ring = [
                place_at(low, side * start), place_at(middle, side * (start + 8 * sin(low))),
                place_at(high, side * start), place_at(high + skew, side * end),
                place_at(low + skew, side * end),
            ]  # fmt: skip
            shapes.append(Shape(tuple(ring), {"landuse": kind}))
    return shapes


def _is_built(u: float, d: float) -> bool:
    """Tell whether a place lies in the town or a village, or close to one."""
    return any(low < u < high and near < d < far for low, high, near, far in BUILT)


def _split(near: float, far: float, rng: Random) -> list[tuple[float, float]]:
    cuts, at = [], near
    while far - at > 140:
        step = min(far - at, rng.uniform(190, 430))
        cuts.append((at + 10, at + step - 10))
        at += step
    return cuts


def built_up() -> list[Shape]:
    """Return the ground of the town and the villages, the quarry and the camp."""
    h, b = highway_d, bench_d
    home = {"landuse": "residential"}

    def box(u_low: float, u_high: float, d_low: float, d_high: float) -> tuple[Place, ...]:
        us = _steps(u_low, u_high, 160)
        lower = [place_at(u, d_low + 22 * sin(u / 130)) for u in us]
        return tuple(lower + [place_at(u, d_high + 25 * sin(u / 110 + 1)) for u in reversed(us)])

    return [
        Shape(box(10_920, 12_980, 380, 1_560), home),
        Shape(box(-480, 1_050, h(300) - 190, h(300) + 60), home),
        Shape(box(6_010, 6_990, -780, -330), home),
        Shape(box(16_980, 17_760, -660, -60), home),
        Shape(box(20_020, 20_960, h(20_500) - 60, 1_270), home),
        Shape(box(22_740, 23_580, 350, h(23_150) + 260), home),
        _blob(place_at(14_850, -2_050), 210, {"landuse": "quarry"}, 1.0),
        _blob(place_at(13_450, b(13_450) - 210), 110, {"landuse": "industrial"}, 0.0),
        _blob(place_at(18_760, 60), 120, {"tourism": "camp_site", "name": "Otter Flat Camp"}, 0.5),
    ]


def names() -> list[Named]:
    """Return the named places of the county."""
    h = highway_d
    spots = (
        ("Millhaver", "town", 11_950, 860, "2140"),
        ("Sedgeby", "village", 300, h(300) - 180, "310"),
        ("Otterbank", "village", 6_380, -560, "260"),
        ("Cindle Ford", "hamlet", 17_330, -380, "120"),
        ("Larkhollow", "village", 20_500, 1_020, "390"),
        ("Upper Thane", "village", 23_180, 620, "280"),
        ("Quarry End", "hamlet", 14_480, -3_300, "60"),
        ("Saddle", "hamlet", 9_230, 3_150, "45"),
        ("Tamarack", "hamlet", 1_200, -3_250, "40"),
    )
    return [
        Named(place_at(u, d), {"place": kind, "name": name, "population": people})
        for name, kind, u, d, people in spots
    ]


def house(middle: Place, bearing: float, long_m: float, wide_m: float) -> tuple[Place, ...]:
    """Return the outline of a house; its first corner is the reference corner of the site."""
    a = radians(bearing)
    ahead, aside = (sin(a), cos(a)), (cos(a), -sin(a))

    def corner(f: float, s: float) -> Place:
        return Place(
            middle.x + f * long_m / 2 * ahead[0] + s * wide_m / 2 * aside[0],
            middle.y + f * long_m / 2 * ahead[1] + s * wide_m / 2 * aside[1],
        )

    return corner(1, 1), corner(1, -1), corner(-1, -1), corner(-1, 1)


def other_houses(
    rng: Random, room: Room, taken: list[Place], town_lines: list[tuple[Place, ...]]
) -> list[Shape]:
    """Return houses along the streets of the town and the villages that hold no site of ours."""
    shapes = []
    for line in town_lines:
        for a, b in pairwise(line):
            along = hypot(b.x - a.x, b.y - a.y)
            if along < 24 or rng.random() < 0.2:
                continue
            side = rng.choice((-1, 1))
            share, off = rng.uniform(0.3, 0.7), rng.uniform(20, 27) * side
            spot = Place(
                a.x + share * (b.x - a.x) - off * (b.y - a.y) / along,
                a.y + share * (b.y - a.y) + off * (b.x - a.x) / along,
            )
            far = all(hypot(t.x - spot.x, t.y - spot.y) > 26 for t in taken)
            if far and room.clear_m(spot) > 15 and not in_water(spot, 12):
                taken.append(spot)
                heading = 90 - _angle(a, b)
                shapes.append(
                    Shape(
                        house(spot, heading, rng.uniform(11, 17), rng.uniform(8, 11)),
                        {"building": "yes"},
                    )
                )
    return shapes


def _angle(a: Place, b: Place) -> float:
    return degrees(atan2(b.y - a.y, b.x - a.x))
