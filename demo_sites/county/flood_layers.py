"""Flood hazard areas and base flood elevation lines with the field names of the public layer.

The areas share their edges exactly and do not overlap: each is bounded by curves of the terrain.
"""

from itertools import pairwise
from math import pi, sin
from typing import Any

from demo_sites.county.frame import lon_lat, place_at
from demo_sites.county.terrain import (
    CREEKS,
    HEAD_U,
    LAKE_BFE_FT,
    LAKE_FOOT_U,
    LAKE_HEAD_U,
    NORTH,
    SHADED_FT,
    SOUTH,
    STUDY_END_U,
    bfe_ft,
    creek_u,
    edge_m,
    floodway_m,
    ground_ft,
    plain_m,
    river_m,
    scarp_m,
)

type Spot = tuple[float, float]
"""Station and offset in the valley frame [m]."""
type Feature = dict[str, Any]

STEP_M = 50.0
OUTER_M = 6_600.0
"""The county reaches this far to both sides of the valley's axis [m]."""
FOOT_U = LAKE_FOOT_U - 110
BFE_STEP_FT = 2
STUDY = "00000C"
"""Stands for the number of a study; no study has it."""
NONE = -9999.0
A_CREEK = CREEKS[1]
"""The creek whose flood was only estimated: zone A."""
SHEET_U = (25_850.0, 26_600.0)
"""Where shallow flooding runs over a slope: zone AO, 1 ft."""
UNDETERMINED_U = (13_400.0, 18_200.0)
"""Where the hills in the north were not studied: zone D."""
UNDETERMINED_M = 4_500.0
MINIMAL = "AREA OF MINIMAL FLOOD HAZARD"
SHADED = "0.2 PCT ANNUAL CHANCE FLOOD HAZARD"


def stations(low: float, high: float) -> list[float]:
    """Return stations on the common grid between two, both ends included [m]."""
    first, last = int(low // STEP_M) + 1, int(-(-high // STEP_M))
    return [low, *(k * STEP_M for k in range(first, last)), high]


def shaded_edge_m(u: float, side: int) -> float:
    """Return the offset of the outer edge of the 0.2 % flood, signed [m]."""
    return edge_m(u, side, SHADED_FT)


def creek_half_m(d: float) -> float:
    """Return half the width of the creek's zone A [m]."""
    return 46 + 14 * sin(abs(d) / 190)


def _creek_bank(share: int) -> list[Spot]:
    """Return one bank of the creek's zone A, from the plain up; ``share`` is -1 or 1."""
    side, far = A_CREEK[1], A_CREEK[3] - 600

    def u_at(d: float) -> float:
        return creek_u(A_CREEK, d) + share * creek_half_m(d)

    d = side * 900.0
    for _ in range(60):  # the edge depends on the station and the station on the edge
        d = shaded_edge_m(u_at(d), side)
    count = int((far - abs(d)) // 45)
    reach = [abs(d) + (far - abs(d)) * k / count for k in range(count + 1)]
    return [(u_at(side * r), side * r) for r in reach]


def creek_outline() -> list[Spot]:
    """Return the outline of the creek's zone A from its lower foot around to its upper foot."""
    return [*_creek_bank(-1), *reversed(_creek_bank(1))]


def sheet_outline() -> list[Spot]:
    """Return the outline of the zone of sheet flow, from foot to foot."""
    return [(u, shaded_edge_m(u, NORTH) + _sheet_m(u)) for u in stations(*SHEET_U)]


def _sheet_m(u: float) -> float:
    low, high = SHEET_U
    swell = max(0.0, sin(pi * (u - low) / (high - low)))
    return 210 * float(swell**0.7) * (1 + 0.2 * sin(u / 61))


def _curve(u_low: float, u_high: float, d: Any) -> list[Spot]:  # noqa: ANN401 - a function
    return [(u, d(u)) for u in stations(u_low, u_high)]


def _strip(u_low: float, u_high: float, inner: Any, outer: Any) -> list[Spot]:  # noqa: ANN401
    return _curve(u_low, u_high, inner) + _curve(u_low, u_high, outer)[::-1]


def _upper_edge(side: int) -> list[Spot]:
    """Return the outer edge of all flooding on one side, creek and sheet flow included."""
    bump = sheet_outline() if side == NORTH else creek_outline()
    low, high = bump[0][0], bump[-1][0]
    studied = _curve(FOOT_U, STUDY_END_U, lambda u: shaded_edge_m(u, side))
    above = _curve(STUDY_END_U, HEAD_U, lambda u: edge_m(u, side))
    before = [spot for spot in studied if spot[0] < low]
    after = [spot for spot in studied if spot[0] > high]
    return [*before, *bump, *after, *above]


def _between(edge: Any, spots: list[Spot]) -> list[Spot]:  # noqa: ANN401
    """Return the grid's places on an edge under an outline, from its upper foot back."""
    low, high = spots[0][0], spots[-1][0]
    return [(u, edge(u)) for u in reversed(stations(low, high)[1:-1])]


def areas() -> list[tuple[str, str, list[Spot], dict[str, Any]]]:
    """Return zone, subtype, outline and special fields of every flood hazard area."""
    result: list[tuple[str, str, list[Spot], dict[str, Any]]] = [
        (
            "AE",
            "",
            _strip(FOOT_U, LAKE_HEAD_U, lambda u: edge_m(u, SOUTH), lambda u: edge_m(u, NORTH)),
            {"STATIC_BFE": LAKE_BFE_FT, "V_DATUM": "NAVD88", "LEN_UNIT": "Feet"},
        ),
        (
            "AE",
            "FLOODWAY",
            _strip(
                LAKE_HEAD_U,
                STUDY_END_U,
                lambda u: floodway_m(u, SOUTH),
                lambda u: floodway_m(u, NORTH),
            ),
            {},
        ),
    ]
    for side in (NORTH, SOUTH):
        result.append(("AE", "", _ae_strip(side), {}))
        result.append(("X", SHADED, _shaded_strip(side), {}))
    whole = _strip(STUDY_END_U, HEAD_U, lambda u: edge_m(u, SOUTH), lambda u: edge_m(u, NORTH))
    result.append(("A", "", whole, {}))
    creek, sheet = creek_outline(), sheet_outline()
    creek_foot = _between(lambda u: shaded_edge_m(u, A_CREEK[1]), creek)
    sheet_foot = _between(lambda u: shaded_edge_m(u, NORTH), sheet)
    result.append(("A", "", creek + creek_foot, {}))
    result.append(("AO", "", sheet + sheet_foot, {"DEPTH": 1.0, "LEN_UNIT": "Feet"}))
    south = [(FOOT_U, -OUTER_M), *_far(-OUTER_M), (HEAD_U, -OUTER_M)]
    result.append(("X", MINIMAL, _upper_edge(SOUTH) + south[::-1], {}))
    result.append(("X", MINIMAL, _upper_edge(NORTH) + _outer_north()[::-1], {}))
    box = _curve(*UNDETERMINED_U, lambda _: UNDETERMINED_M)
    box += _curve(*UNDETERMINED_U, lambda _: OUTER_M)[::-1]
    result.append(("D", "", box, {}))
    return result


def _ae_strip(side: int) -> list[Spot]:
    return _strip(
        LAKE_HEAD_U, STUDY_END_U, lambda u: floodway_m(u, side), lambda u: edge_m(u, side)
    )


def _shaded_strip(side: int) -> list[Spot]:
    return _strip(FOOT_U, STUDY_END_U, lambda u: edge_m(u, side), lambda u: shaded_edge_m(u, side))


def _far(d: float) -> list[Spot]:
    return [(u, d) for u in stations(FOOT_U, HEAD_U)[1:-1:10]]


def _outer_north() -> list[Spot]:
    low, high = UNDETERMINED_U
    far = _far(OUTER_M)
    left = [(FOOT_U, OUTER_M), *(s for s in far if s[0] < low), (low, OUTER_M)]
    under = _curve(low, high, lambda _: UNDETERMINED_M)
    right = [(high, OUTER_M), *(s for s in far if s[0] > high), (HEAD_U, OUTER_M)]
    return left + under + right


def zone_at(u: float, d: float) -> tuple[str, str]:
    """Return the flood zone and its subtype at a place, from the terrain alone."""
    side = NORTH if d > 0 else SOUTH
    if u >= STUDY_END_U:
        wet = ground_ft(u, d) < bfe_ft(u) and abs(d) < plain_m(u, side) + 500
        return ("A", "") if wet else _on_the_hills(u, d)
    out = abs(d) - plain_m(u, side)
    if out > scarp_m(u, side):  # above every flood; spares looking for its edge
        return _on_the_hills(u, d)
    if out < -60 or abs(d) < abs(edge_m(u, side)):
        near = u > LAKE_HEAD_U and abs(d - river_m(u)) < 250
        if near and floodway_m(u, SOUTH) < d < floodway_m(u, NORTH):
            return "AE", "FLOODWAY"
        return "AE", ""
    if abs(d) < abs(shaded_edge_m(u, side)):
        return "X", SHADED
    return _on_the_hills(u, d)


def _on_the_hills(u: float, d: float) -> tuple[str, str]:
    side = A_CREEK[1]
    if (
        d * side > 0
        and abs(d) < A_CREEK[3] - 600
        and abs(u - creek_u(A_CREEK, d)) < creek_half_m(d)
    ):
        return "A", ""
    low, high = SHEET_U
    if d > 0 and low < u < high and d < shaded_edge_m(u, NORTH) + _sheet_m(u):
        return "AO", ""
    if UNDETERMINED_U[0] < u < UNDETERMINED_U[1] and d > UNDETERMINED_M:
        return "D", ""
    return "X", MINIMAL


def bfe_stations() -> list[tuple[int, float]]:
    """Return every mapped base flood elevation and the station where the 1 % flood reaches it."""
    found = []
    level = int(LAKE_BFE_FT) + BFE_STEP_FT
    while level < bfe_ft(STUDY_END_U):
        low, high = LAKE_HEAD_U, STUDY_END_U
        for _ in range(50):
            middle = (low + high) / 2
            low, high = (middle, high) if bfe_ft(middle) < level else (low, middle)
        found.append((level, (low + high) / 2))
        level += BFE_STEP_FT
    return found


def _spot(spot: Spot) -> list[float]:
    lon, lat = lon_lat(place_at(*spot))
    return [round(lon, 6), round(lat, 6)]


def _ring(outline: list[Spot]) -> list[list[float]]:
    """Return a closed ring, counterclockwise, without repeated places."""
    ring = [_spot(outline[0])]
    for spot in outline[1:]:
        place = _spot(spot)
        if place != ring[-1]:
            ring.append(place)
    if ring[-1] != ring[0]:
        ring.append(ring[0])
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring))
    return ring if twice > 0 else ring[::-1]


def flood_areas() -> Feature:
    """Return the flood hazard areas as a GeoJSON feature collection."""
    features = []
    for number, (zone, subtype, outline, special) in enumerate(areas(), 1):
        given: dict[str, Any] = {
            "DFIRM_ID": STUDY, "VERSION_ID": "1.1.1.0", "FLD_AR_ID": f"{STUDY}_{number}",
            "STUDY_TYP": "NP", "FLD_ZONE": zone, "ZONE_SUBTY": subtype or None,
            "SFHA_TF": "T" if zone[0] == "A" else "F", "STATIC_BFE": NONE, "V_DATUM": None,
            "DEPTH": NONE, "LEN_UNIT": None, "VELOCITY": NONE, "VEL_UNIT": None,
            "AR_REVERT": None, "AR_SUBTRV": None, "BFE_REVERT": NONE, "DEP_REVERT": NONE,
            "DUAL_ZONE": None, "SOURCE_CIT": "INVENTED",
        }  # fmt: skip
        geometry = {"type": "Polygon", "coordinates": [_ring(outline)]}
        features.append({"type": "Feature", "properties": given | special, "geometry": geometry})
    return {"type": "FeatureCollection", "name": "S_FLD_HAZ_AR", "features": features}


def bfe_lines() -> Feature:
    """Return the base flood elevation lines as a GeoJSON feature collection."""
    features = []
    for number, (level, u) in enumerate(bfe_stations(), 1):
        ends = [_spot((u, edge_m(u, SOUTH))), _spot((u, edge_m(u, NORTH)))]
        features.append(
            {
                "type": "Feature",
                "properties": {
                    "DFIRM_ID": STUDY, "VERSION_ID": "1.1.1.0", "BFE_LN_ID": f"{STUDY}_{number}",
                    "ELEV": float(level), "LEN_UNIT": "Feet", "V_DATUM": "NAVD88",
                    "SOURCE_CIT": "INVENTED",
                },
                "geometry": {"type": "LineString", "coordinates": ends},
            }
        )  # fmt: skip
    return {"type": "FeatureCollection", "name": "S_BFE", "features": features}
