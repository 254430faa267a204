"""Where the invented county lies, and how its valley is measured.

The county lies in the open Pacific near 45 N 140 W, more than a thousand kilometres from any coast,
so that no map of it can be taken for a map of a real place.

Two frames are used. The local frame has x east and y north of the middle, in metres. The valley
frame has the station u along the valley's axis (0 at the river's mouth, growing upstream) and the
offset d from the axis, positive to the north-west (the river's right bank, for it flows towards
falling u). Landforms, roads and flood zones are all drawn in the valley frame, so they agree.
"""

from math import atan2, cos, degrees, hypot, radians, sin, sqrt, tau
from typing import NamedTuple

MIDDLE_LON, MIDDLE_LAT = -140.0, 45.0
M_PER_DEG_LON = 78_846.8
"""Length of a degree of longitude at 45 N on WGS 84 [m]."""
M_PER_DEG_LAT = 111_131.8
"""Length of a degree of latitude at 45 N on WGS 84 [m]."""
TURN_DEG = 14.0
"""The valley is turned by this angle, counterclockwise, so that it does not lie due west."""
MOUTH_X_M, MOUTH_Y_M = -13_500.0, -4_200.0
"""The mouth of the river in the local frame, before the turn."""


class Place(NamedTuple):
    """A point in the local frame [m]."""

    x: float
    y: float


def _axis(u: float) -> tuple[float, float]:
    return (
        MOUTH_X_M + u,
        MOUTH_Y_M + 1_900 * sin(tau * u / 36_000 + 0.4) + 100 * sin(tau * u / 10_000 + 1.1),
    )


def _axis_slope(u: float) -> float:
    return 1_900 * tau / 36_000 * cos(tau * u / 36_000 + 0.4) + 100 * tau / 10_000 * cos(
        tau * u / 10_000 + 1.1
    )


def place_at(u: float, d: float) -> Place:
    """Return the place at a station and an offset of the valley frame [m]."""
    x, y = _axis(u)
    slope = _axis_slope(u)
    along = sqrt(1 + slope * slope)
    x, y = x - d * slope / along, y + d / along
    turn = radians(TURN_DEG)
    return Place(x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn))


def valley_of(place: Place) -> tuple[float, float]:
    """Return the station and the offset of a place: the foot of its perpendicular on the axis."""
    turn = radians(TURN_DEG)
    x = place.x * cos(turn) + place.y * sin(turn)
    y = -place.x * sin(turn) + place.y * cos(turn)
    u = x - MOUTH_X_M
    for _ in range(60):
        ax, ay = _axis(u)
        slope = _axis_slope(u)
        step = ((x - ax) + (y - ay) * slope) / (1 + slope * slope)
        u += 0.95 * step
        if abs(step) < 1e-7:
            break
    ax, ay = _axis(u)
    slope = _axis_slope(u)
    return u, ((y - ay) - (x - ax) * slope) / sqrt(1 + slope * slope)


def lon_lat(place: Place) -> tuple[float, float]:
    """Return longitude and latitude in degrees, to 1e-7 (about a centimetre)."""
    return (
        round(MIDDLE_LON + place.x / M_PER_DEG_LON, 7),
        round(MIDDLE_LAT + place.y / M_PER_DEG_LAT, 7),
    )


def place_of(lon: float, lat: float) -> Place:
    """Return the place at a longitude and a latitude."""
    return Place((lon - MIDDLE_LON) * M_PER_DEG_LON, (lat - MIDDLE_LAT) * M_PER_DEG_LAT)


def distance_m(a: Place, b: Place) -> float:
    """Return the length between two places [m]."""
    return hypot(a.x - b.x, a.y - b.y)


def bearing_deg(a: Place, b: Place) -> float:
    """Return the bearing from one place to another, from true north [deg]."""
    return degrees(atan2(b.x - a.x, b.y - a.y)) % 360


def moved(place: Place, bearing: float, length_m: float) -> Place:
    """Return the place at a bearing and a distance from another."""
    angle = radians(bearing)
    return Place(place.x + length_m * sin(angle), place.y + length_m * cos(angle))
