"""The roads of the county as lines, before they are joined into a network."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from math import sin, sqrt

from demo_sites.county.frame import place_at
from demo_sites.county.lines import Line, smooth_line
from demo_sites.county.terrain import (
    CREEKS,
    NORTH,
    SOUTH,
    creek_u,
    half_river_m,
    plain_m,
    river_m,
    shore_m,
    smooth,
)


@dataclass(frozen=True, slots=True)
class Road:
    """One road: its line in the local frame and its OpenStreetMap tags."""

    name: str
    highway: str
    line: Line
    tags: dict[str, str] = field(default_factory=dict)
    address: str = ""
    """Name in addresses, where the road itself has none."""


def _mean(value: Callable[[float], float], u: float, reach_m: float, steps: int = 8) -> float:
    return sum(value(u + reach_m * k / steps) for k in range(-steps, steps + 1)) / (2 * steps + 1)


def highway_d(u: float) -> float:
    """Return the offset of the valley highway, on the north terrace [m]."""
    return _mean(lambda v: plain_m(v, NORTH), u, 1_300) + 250 + 270 * smooth(u, 2_900, 900)


def bench_d(u: float) -> float:
    """Return the offset of the bench road, on the south terrace [m]."""
    return -_mean(lambda v: plain_m(v, SOUTH), u, 1_300) - 330


def river_road_d(u: float) -> float:
    """Return the offset of the low road along the river's south bank [m]."""
    lean = (_mean(river_m, u + 40, 90) - _mean(river_m, u - 40, 90)) / 80
    beside = (half_river_m(u) + 62 + 20 * sin(u / 700)) * sqrt(1 + lean * lean)
    return _mean(river_m, u, 110) - beside


def north_ridge_d(u: float) -> float:
    """Return the offset of the ridge road in the north [m]."""
    return 3_350 + 330 * sin(u / 1_850) + 190 * sin(u / 760 + 1)


def south_ridge_d(u: float) -> float:
    """Return the offset of the ridge road in the south [m]."""
    return -3_500 + 300 * sin(u / 1_650 + 2) + 170 * sin(u / 690)


def _along(d: Callable[[float], float], low: float, high: float, step: float = 220) -> Line:
    count = max(2, round((high - low) / step))
    stations = [low + (high - low) * k / count for k in range(count + 1)]
    return smooth_line([place_at(u, d(u)) for u in stations], 55)


def _through(*points: tuple[float, float]) -> Line:
    return smooth_line([place_at(u, d) for u, d in points], 60)


def _road(
    name: str, highway: str, line: Line, *, mph: int = 0, surface: str = "asphalt", **tags: str
) -> Road:
    more = {"surface": surface} | ({"maxspeed": f"{mph} mph"} if mph else {}) | tags
    return Road(name, highway, line, more)


def main_roads() -> list[Road]:
    """Return the roads that lead along the valley."""
    fast = {"mph": 55, "ref": "CH 4"}
    return [
        _road("Wendmark Highway", "primary", _along(highway_d, -4_700, 10_800), **fast),  # type: ignore[arg-type]
        _road("Main Street", "primary", _along(highway_d, 10_800, 13_000), mph=25, ref="CH 4"),
        _road("Wendmark Highway", "primary", _along(highway_d, 13_000, 31_600), **fast),  # type: ignore[arg-type]
        _road("South Shore Road", "secondary", _along(bench_d, -3_600, 3_300), mph=45),
        _road("South Bench Road", "secondary", _along(bench_d, 3_300, 23_350), mph=45),
        _road(
            "South Bench Road", "unclassified", _along(bench_d, 23_350, 28_900), surface="gravel"
        ),
        _road("River Road", "tertiary", _along(river_road_d, 3_300, 23_150, 130), mph=35),
        _road("North Ridge Road", "tertiary", _along(north_ridge_d, 5_300, 15_400), mph=40),
        _road(
            "North Ridge Road",
            "unclassified",
            _along(north_ridge_d, 15_400, 26_300),
            surface="gravel",
        ),
        _road(
            "South Ridge Road",
            "unclassified",
            _along(south_ridge_d, 8_700, 22_300),
            surface="gravel",
        ),
    ]


def _up_creek(creek: int, low: float, high: float, beside_m: float) -> list[tuple[float, float]]:
    side = CREEKS[creek][1]
    count = max(3, round((high - low) / 330))
    reach = [low + (high - low) * k / count for k in range(count + 1)]
    return [(creek_u(CREEKS[creek], side * d) + beside_m, side * d) for d in reach]


def cross_roads() -> list[Road]:
    """Return the roads that lead across the valley and up to the ridges, bridges included."""
    h, b, r = highway_d, bench_d, river_road_d
    north, south = north_ridge_d, south_ridge_d
    return [
        _road(
            "Lower Cross Road", "tertiary", _through((3_300, b(3_300)), (3_300, r(3_300))), mph=35
        ),
        _road(
            "Mottle Road",
            "tertiary",
            _through((5_450, h(5_450)), *_up_creek(4, 1_500, 3_000, 160), (5_900, north(5_900))),
            mph=35,
        ),
        _road(
            "Brindle Creek Road",
            "tertiary",
            _through((8_550, r(8_550)), (8_700, b(8_700)), *_up_creek(1, 1_500, 4_900, -140)),
            mph=35,
        ),
        _road(
            "Town Hill Road",
            "tertiary",
            _through(
                (12_380, h(12_380)),
                (12_420, 1_700),
                (12_250, 2_150),
                (12_480, 2_600),
                (12_300, 3_000),
                (12_420, north(12_420)),
            ),
            mph=30,
        ),
        _road(
            "Tumbler Creek Road",
            "tertiary",
            _through(
                (14_950, h(14_950)), *_up_creek(0, 1_150, 3_150, 170), (15_420, north(15_420))
            ),
            mph=35,
        ),
        _road(
            "Tumbler Creek Road",
            "unclassified",
            _through((15_420, north(15_420)), *_up_creek(0, 3_900, 5_500, 130)),
            surface="gravel",
        ),
        _road(
            "Quarry Road",
            "tertiary",
            _through(
                (14_300, b(14_300)),
                (14_420, -1_400),
                (14_250, -1_900),
                (14_500, -2_400),
                (14_330, -2_900),
                (14_480, south(14_480)),
            ),
            mph=35,
        ),
        _road(
            "Hask Road",
            "unclassified",
            _through(
                (19_100, b(19_100)), *_up_creek(3, 1_300, 3_000, -150), (18_760, south(18_760))
            ),
            surface="gravel",
        ),
        _road(
            "Larkhollow Road",
            "tertiary",
            _through(
                (20_500, h(20_500)),
                (20_560, 1_400),
                (20_330, 1_900),
                (20_500, 2_400),
                (20_280, 2_850),
                (20_400, north(20_400)),
            ),
            mph=35,
        ),
        _road(
            "Sallow Road",
            "unclassified",
            _through(
                (24_980, h(24_980)), *_up_creek(2, 1_100, 2_600, 170), (25_700, north(25_700))
            ),
            surface="gravel",
        ),
        _road("Otterbank Road", "tertiary", _through((6_350, r(6_350)), (6_420, b(6_420))), mph=30),
        _road("Ford Road", "tertiary", _through((17_350, r(17_350)), (17_300, b(17_300))), mph=30),
        _road(
            "Lookout Road",
            "unclassified",
            _through(
                (-2_300, h(-2_300)),
                (-2_250, h(-2_250) + 500),
                (-1_900, h(-1_900) + 900),
                (-2_050, h(-2_050) + 1_500),
                (-1_500, h(-1_500) + 1_950),
                (-700, h(-700) + 2_050),
                (100, h(100) + 1_900),
                (700, h(700) + 1_350),
                (1_250, h(1_250) + 900),
                (1_500, h(1_500)),
            ),
            surface="gravel",
        ),
        _road(
            "Tamarack Road",
            "unclassified",
            _through(
                (-400, b(-400)),
                (-350, b(-400) - 480),
                (60, b(60) - 900),
                (-120, b(-120) - 1_400),
                (350, b(350) - 1_900),
                (1_200, b(1_200) - 2_150),
                (2_000, b(2_000) - 1_900),
                (2_450, b(2_450) - 1_250),
                (2_600, b(2_600)),
            ),
            surface="gravel",
        ),
        _road(
            "Saddle Road",
            "tertiary",
            _through(
                (9_300, h(9_300)),
                (9_350, 1_500),
                (9_100, 2_000),
                (9_300, 2_500),
                (9_050, 2_950),
                (9_200, north(9_200)),
            ),
            mph=35,
        ),
        _road(
            "Upper Valley Loop",
            "unclassified",
            _through(
                (26_900, h(26_900)),
                (26_950, h(26_950) + 450),
                (27_400, h(27_400) + 800),
                (28_100, h(28_100) + 700),
                (28_600, h(28_600) + 1_050),
                (29_400, h(29_400) + 900),
                (29_700, h(29_700) + 400),
                (29_650, h(29_650)),
            ),
            surface="gravel",
        ),
        _road(
            "Grange Road",
            "tertiary",
            _through(
                (11_200, b(11_200)),
                (11_250, -1_600),
                (11_050, -2_100),
                (11_250, -2_700),
                (11_100, south(11_100)),
            ),
            mph=35,
        ),
        _road(
            "Juniper Road",
            "unclassified",
            _through(
                (22_000, b(22_000)),
                (22_050, -1_350),
                (21_850, -1_900),
                (22_150, -2_500),
                (21_980, south(21_980)),
            ),
            surface="gravel",
        ),
        _road("Bend Road", "unclassified", _through((20_650, r(20_650)), (20_700, b(20_700)))),
        *_bridge("Bridge Street", "Millhaver Bridge", 12_000, ("secondary", 25)),
        *_bridge("Thane Road", "Upper Thane Bridge", 23_150, ("tertiary", 30)),
    ]


def _bridge(name: str, bridge: str, u: float, kind: tuple[str, int]) -> list[Road]:
    """Return a road from the highway over the river to the bench road, its bridge a way apart."""
    middle, reach = river_m(u), half_river_m(u) + 14
    bank, other = place_at(u, middle + reach), place_at(u, middle - reach)
    low = place_at(u, river_road_d(u))
    down = (place_at(u, highway_d(u)), place_at(u, (highway_d(u) + middle) / 2), bank)
    up = (low, place_at(u + 30, (river_road_d(u) + bench_d(u)) / 2), place_at(u, bench_d(u)))
    highway, mph = kind
    return [
        _road(name, highway, down, mph=mph),
        _road(
            name,
            highway,
            (bank, other),
            mph=mph,
            bridge="yes",
            layer="1",
            **{"bridge:name": bridge},
        ),
        _road(name, highway, (other, low), mph=mph),
        _road(name, highway, smooth_line(up, 60), mph=mph),
    ]


TOWN_U = (11_050.0, 12_900.0)
ONE_WAY = ("Front Street", "Second Street")
"""The pair of one-way streets of the town: the first towards growing u, the second back."""
_TOWN_STREETS: tuple[tuple[str, float, float, float], ...] = (
    ("Dyer Street", 430, 11_600, 12_480),
    ("Front Street", 570, 11_200, 12_720),
    ("Second Street", 710, 11_200, 12_720),
    ("Third Street", 850, 11_000, 12_900),
    ("Tanner Street", 990, 11_000, 12_900),
    ("Orchard Street", 1_330, 11_200, 12_720),
    ("Hill Street", 1_470, 11_390, 12_720),
)
_TOWN_AVENUES: tuple[tuple[str, float, float, float], ...] = (
    ("Alder Avenue", 11_000, 850, 1_160),
    ("Birch Avenue", 11_200, 570, 1_330),
    ("Chandler Avenue", 11_390, 570, 1_470),
    ("Cedar Avenue", 11_600, 430, 1_470),
    ("Depot Avenue", 11_800, 430, 1_600),
    ("Elm Avenue", 12_190, 430, 1_470),
    ("Ferry Avenue", 12_480, 250, 1_330),
    ("Hazel Avenue", 12_720, 570, 1_560),
    ("Ivy Avenue", 12_900, 850, 1_160),
)


def town_streets() -> list[Road]:
    """Return the streets of the town, the one-way pair among them."""
    roads = []
    for name, d, low, high in _TOWN_STREETS:
        line = tuple(
            place_at(low + (high - low) * k / 12, d + 9 * sin((low + k * 150) / 300 + d))
            for k in range(13)
        )
        if name == ONE_WAY[1]:
            line = line[::-1]
        roads.append(
            _road(
                name, "residential", line, mph=25, **({"oneway": "yes"} if name in ONE_WAY else {})
            )
        )
    for name, u, low, high in _TOWN_AVENUES:
        line = tuple(
            place_at(u + 7 * sin(d / 260 + u), d)
            for d in [low + (high - low) * k / 8 for k in range(9)]
        )
        roads.append(_road(name, "residential", line, mph=25))
    return roads


def _village(streets: Iterable[tuple[str, tuple[tuple[float, float], ...]]]) -> list[Road]:
    return [_road(name, "residential", _through(*points), mph=25) for name, points in streets]


def village_streets() -> list[Road]:
    """Return the streets of the villages."""
    h, r = highway_d, river_road_d
    return [
        *_village(
            (
                # Sedgeby, on the lake's north shore
                ("Sedge Lane", ((-520, h(-520)), (-430, h(-430) - 120), (-230, h(-230) - 170))),
                ("Landing Road", ((330, h(330)), (310, h(310) - 90), (230, h(230) - 190))),
                (
                    "Shore Lane",
                    (
                        (-230, h(-230) - 170),
                        (20, h(20) - 195),
                        (230, h(230) - 190),
                        (560, h(560) - 170),
                        (880, h(880) - 180),
                        (1_150, h(1_150) - 215),
                    ),
                ),
                ("Net Loft Lane", ((880, h(880) - 180), (840, h(840) - 80), (790, h(790)))),
                ("Pine Rise", ((350, h(350)), (400, h(400) + 190), (640, h(640) + 330))),
                # Otterbank, on the flood plain
                (
                    "Willow Street",
                    ((6_120, r(6_120)), (6_100, r(6_120) - 170), (6_150, r(6_150) - 330)),
                ),
                (
                    "Flume Street",
                    ((6_580, r(6_580)), (6_620, r(6_620) - 160), (6_600, r(6_600) - 330)),
                ),
                (
                    "Back Street",
                    (
                        (6_150, r(6_150) - 330),
                        (6_375, -490),
                        (6_600, r(6_600) - 330),
                        (6_880, r(6_880) - 300),
                    ),
                ),
                (
                    "Landing Lane",
                    ((6_880, r(6_880)), (6_900, r(6_880) - 150), (6_880, r(6_880) - 300)),
                ),
                # Cindle Ford, where an old ford was
                ("Mercer Street", ((17_060, r(17_060)), (17_040, r(17_060) - 230), (17_080, -520))),
                ("Kiln Street", ((17_640, r(17_640)), (17_660, r(17_640) - 210), (17_600, -520))),
                ("Chapel Street", ((17_080, -520), (17_310, -540), (17_600, -520))),
                # Larkhollow, on the terrace
                ("Lark Street", ((20_120, h(20_120)), (20_140, h(20_140) + 230), (20_200, 1_190))),
                ("Hollow Street", ((20_200, 1_190), (20_520, 1_210), (20_860, 1_180))),
                (
                    "School Street",
                    ((20_860, h(20_860)), (20_880, h(20_880) + 210), (20_860, 1_180)),
                ),
                ("Granger Lane", ((20_420, h(20_420)), (20_430, h(20_430) - 200))),
                # Upper Thane, by the upper bridge
                ("Weaver Street", ((22_820, h(22_820)), (22_850, h(22_850) - 200), (22_900, 430))),
                ("Thane Row", ((22_900, 430), (23_150, 440), (23_420, 420))),
                ("Ropewalk", ((23_420, 420), (23_440, h(23_440) - 180), (23_430, h(23_430)))),
                (
                    "Upper Row",
                    (
                        (22_850, h(22_850) + 190),
                        (23_150, h(23_150) + 210),
                        (23_500, h(23_500) + 180),
                    ),
                ),
                ("Cooper Street", ((22_820, h(22_820)), (22_850, h(22_850) + 190))),
                ("Sexton Street", ((23_500, h(23_500)), (23_500, h(23_500) + 180))),
            )
        ),
    ]


def _shore(side: int, start: float, end: float) -> tuple[tuple[float, float], ...]:
    """Return a lane from the road above the lake down to the shore and along it."""

    def beside(u: float) -> tuple[float, float]:
        return u, side * (shore_m(u, side) + 92 + 8 * sin(u / 150))

    top = highway_d(start) if side == NORTH else bench_d(start)
    along = [start + (end - start) * k / 5 for k in range(1, 6)]
    half = (top + beside(start)[1]) / 2
    return ((start, top), (start, half), *(beside(u) for u in along))


def plain_roads() -> list[Road]:
    """Return the lanes that lead down to the lake, and to the river on its north side."""
    h = highway_d
    lanes = (
        ("Heron Cove Lane", _shore(NORTH, -2_900, -2_050)),
        ("Boathouse Lane", _shore(NORTH, 1_500, 2_150)),
        ("Reedbed Lane", _shore(SOUTH, 900, 60)),
        ("Long Point Lane", _shore(SOUTH, -1_900, -2_750)),
        ("Oxbow Road", ((5_900, h(5_900)), (5_950, 900), (6_080, 650), (6_350, 430), (6_700, 380))),
        ("Heron Road", ((8_250, h(8_250)), (8_300, 600), (8_180, 300), (8_320, 20), (8_650, -130))),
        ("Meadow Road", ((10_050, h(10_050)), (10_000, 760), (10_120, 560), (10_400, 420))),
        ("Ferry Lane", ((17_250, h(17_250)), (17_200, 860), (17_330, 620), (17_280, 330))),
        (
            "Camp Road",
            ((18_650, h(18_650)), (18_600, 560), (18_480, 260), (18_560, -40), (18_820, -120)),
        ),
        ("Swale Road", ((21_550, h(21_550)), (21_500, 560), (21_620, 260), (21_900, 60))),
        ("Alder Flat Road", ((26_100, h(26_100)), (26_060, 420), (26_220, 210), (26_600, 160))),
        ("Gravel Bar Road", ((29_000, h(29_000)), (29_060, 330), (29_250, 140), (29_600, 90))),
    )
    return [
        _road(name, "unclassified", _through(*points), surface="gravel" if i % 2 else "asphalt")
        for i, (name, points) in enumerate(lanes)
    ]
