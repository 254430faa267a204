"""The lie of the land: river, lake, flood plain, terraces, hills, and the level of the 1 % flood.

Everything is a plain function of the valley frame (station u, offset d, both in metres); elevations
are feet above NAVD 88. Flood zones, component elevations and roads are all derived from these
functions, so that they agree with each other. The figures are invented; only their proportions are
those of a small river: a fall of about 1 ft in 700 ft, a 1 % flood 6 to 9 ft above the banks.
"""

from collections.abc import Callable
from functools import lru_cache
from math import exp, sin, tau

HEAD_U = 32_000.0
"""Upper end of the county's valley [m]."""
LAKE_HEAD_U = 2_300.0
"""Where the river enters the lake [m]."""
LAKE_FOOT_U = -5_200.0
STUDY_END_U = 28_200.0
"""Above this station the flood study is approximate: zone A, no base flood elevation [m]."""
LAKE_BFE_FT = 66.0
"""Base flood elevation of the lake: level, a STATIC_BFE."""
SHADED_FT = 2.6
"""The 0.2 % flood stands this much above the 1 % flood [ft]."""
NARROWS_U = 15_600.0
NORTH, SOUTH = 1, -1


def _kept[F: Callable[..., float]](function: F) -> F:
    """Return a function that keeps its answers; it stays typed."""
    kept: F = lru_cache(maxsize=None)(function)  # type: ignore[assignment]  # same call, same answer
    return kept


def smooth(x: float, low: float, high: float) -> float:
    """Return 0 below ``low``, 1 above ``high``, and an S-shaped rise between."""
    t = min(1.0, max(0.0, (x - low) / (high - low)))
    return t * t * (3 - 2 * t)


def _waves(x: float, *waves: tuple[float, float, float]) -> float:
    return sum(size * sin(tau * x / length + phase) for size, length, phase in waves)


@_kept
def plain_m(u: float, side: int) -> float:
    """Return the half-width of the flood plain on one side of the axis [m]."""
    wide = 820 - 470 * smooth(u, 9_000, 30_000)
    if side == NORTH:
        wide *= 1 + _waves(u, (0.22, 5_300, 0.3), (0.13, 2_150, 2.0))
    else:
        wide *= 1 + _waves(u, (0.20, 4_700, 3.9), (0.14, 1_900, 0.6))
    narrow = exp(-(((u - NARROWS_U) / 900) ** 2))
    wide = wide * (1 - 0.62 * narrow)
    lake = smooth(u, 3_600, 1_700)
    beach = 150 * smooth(u, LAKE_FOOT_U - 120, LAKE_FOOT_U + 400)
    return wide * (1 - lake) + lake * (shore_m(u, side) + beach)


@_kept
def shore_m(u: float, side: int) -> float:
    """Return the offset of the lake's shore from the axis, 0 outside the lake [m]."""
    middle, reach = (LAKE_HEAD_U + LAKE_FOOT_U) / 2, (LAKE_HEAD_U - LAKE_FOOT_U) / 2
    t = (u - middle) / reach
    if abs(t) >= 1:
        return 0.0
    bay = 1 + _waves(u, (0.30, 4_300, 2.1 - side), (0.16, 1_900, 1.3 + side), (0.03, 830, 1.0))
    return (1_180 if side == NORTH else 860) * float((1 - t * t) ** 0.75) * bay


@_kept
def river_m(u: float) -> float:
    """Return the offset of the river's middle from the axis [m]."""
    bends = tau * u / 2_450 + 1.5 * sin(tau * u / 8_100 + 0.9) + 0.5 * sin(tau * u / 3_900)
    swing = 0.72 * sin(bends + 0.55) + 0.2 * sin(0.37 * bends + 1.0) + 0.05 * sin(2.1 * bends)
    side = NORTH if swing > 0 else SOUTH
    return swing * max(30.0, min(plain_m(u, side), 760.0) - 70) * smooth(u, 1_900, 3_600)


def half_river_m(u: float) -> float:
    """Return half the width of the river [m]."""
    return 36 - 20 * smooth(u, 3_000, 31_000) + _waves(u, (3, 900, 0.0), (2, 410, 1.0))


@_kept
def bank_ft(u: float) -> float:
    """Return the elevation of the river's banks [ft, NAVD 88]."""
    along = max(0.0, u - LAKE_HEAD_U) / (HEAD_U - LAKE_HEAD_U)
    return 58.0 + 104 * along + 58 * float(along**2.2)


@_kept
def bfe_ft(u: float) -> float:
    """Return the level of the 1 % flood: even on the lake, falling along the river [ft]."""
    behind_narrows = (
        1.6
        * smooth(u, NARROWS_U - 700, NARROWS_U + 500)
        * (1 - smooth(u, NARROWS_U + 500, NARROWS_U + 4_200))
    )
    return bank_ft(u) + (LAKE_BFE_FT - 58.0) - 1.1 * smooth(u, 14_000, 29_000) + behind_narrows


def scarp_m(u: float, side: int) -> float:
    """Return the width of the rise from the flood plain to the terrace [m]."""
    return 190 + _waves(u, (90, 2_700, 1.0 * side), (50, 1_270, 2.3 * side))


CREEKS: tuple[tuple[str, int, float, float], ...] = (
    ("Tumbler Creek", NORTH, 14_500.0, 5_600.0),
    ("Brindle Creek", SOUTH, 8_900.0, 5_000.0),
    ("Sallow Brook", NORTH, 24_700.0, 3_900.0),
    ("Hask Brook", SOUTH, 19_300.0, 3_600.0),
    ("Mottle Brook", NORTH, 5_000.0, 3_600.0),
)
"""Name; side; station where it meets the flood plain; how far it reaches up into the hills [m]."""


def creek_u(creek: tuple[str, int, float, float], d: float) -> float:
    """Return the station of a creek at an offset [m]."""
    _, side, foot, _ = creek
    reach = abs(d)
    return (
        foot
        + 0.24 * side * max(0.0, reach - 500)
        + 150 * sin(reach / 420 + foot)
        + 70 * sin(reach / 170 + 2 * foot)
    )


def _creek_cut(u: float, d: float) -> float:
    """Return how deep the creeks' own valleys cut into the hills, as a share [-]."""
    cut = 0.0
    for creek in CREEKS:
        if (d > 0) != (creek[1] > 0) or abs(d) > creek[3] + 800:
            continue
        away = abs(u - creek_u(creek, d))
        fade = 1 - smooth(abs(d), creek[3] - 1_200, creek[3] + 800)
        cut = max(cut, 0.88 * fade * exp(-((away / (230 + 0.07 * abs(d))) ** 2)))
    return cut


def _roughness(u: float, d: float) -> float:
    return (
        sin(tau * u / 2_900 + 0.9 * sin(tau * d / 3_700)) * sin(tau * d / 2_300 + 0.7)
        + 0.5 * sin(tau * (u + 0.6 * d) / 1_310) * sin(tau * (d - 0.4 * u) / 1_170 + 1.9)
    ) / 1.5


def ground_ft(u: float, d: float) -> float:
    """Return the elevation of the ground, or of the bed under water [ft, NAVD 88]."""
    side = NORTH if d > 0 else SOUTH
    bank, q = bank_ft(u), abs(d - river_m(u))
    if abs(d) < shore_m(u, side):
        return bank - 4 - 22 * smooth(shore_m(u, side) - abs(d), 0, 700)
    half = half_river_m(u)
    if u > LAKE_HEAD_U and q < half:
        return bank - 8 * (1 - (q / half) ** 2)
    lake = 1 - smooth(u, LAKE_HEAD_U, LAKE_HEAD_U + 1_500)
    q = q * (1 - lake) + lake * max(0.0, abs(d) - shore_m(u, side))
    floor = bank + 0.8 + 3.2 * (1 - exp(-q / 260)) + 0.7 * _roughness(2.3 * u, 2.3 * d)
    return floor + _rise_ft(u, d, side)


def _rise_ft(u: float, d: float, side: int) -> float:
    """Return how far the scarp, the terrace and the hills stand above the flood plain [ft]."""
    out = abs(d) - plain_m(u, side)
    scarp = 27 * smooth(out, -60, scarp_m(u, side))
    terrace = 0.016 * max(0.0, out - scarp_m(u, side))
    hill = 470 * smooth(out, 650, 4_600) * (1 + 0.42 * _roughness(u, d))
    return scarp + terrace + hill * (1 - _creek_cut(u, d))


@_kept
def edge_m(u: float, side: int, above_bfe_ft: float = 0.0) -> float:
    """Return the offset at which the ground rises out of the flood, signed [m].

    Bisection between the flood plain and the terrace, on which the ground only rises outward.
    """
    level = bfe_ft(u) + above_bfe_ft
    low, high = plain_m(u, side) - 60, plain_m(u, side) + scarp_m(u, side)
    for _ in range(26):
        middle = (low + high) / 2
        if ground_ft(u, side * middle) < level:
            low = middle
        else:
            high = middle
    return side * (low + high) / 2


def floodway_m(u: float, side: int) -> float:
    """Return the offset of the floodway's edge, signed: a strip along the river [m]."""
    beside = half_river_m(u) + 58 + _waves(u, (16, 1_400, side), (9, 610, 2.0 * side))
    if side == NORTH:
        return min(river_m(u) + beside, edge_m(u, NORTH) - 12)
    return max(river_m(u) - beside, edge_m(u, SOUTH) + 12)
