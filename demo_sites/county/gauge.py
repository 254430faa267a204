"""The invented river's gauge: its centreline, levels by stage, a rising forecast, low roads."""

from datetime import datetime, timedelta, timezone
from typing import Any

from demo_sites.county.calendar import TODAY
from demo_sites.county.frame import lon_lat, place_at, valley_of
from demo_sites.county.lines import length_m
from demo_sites.county.road_plan import Road
from demo_sites.county.terrain import (
    HEAD_U,
    LAKE_FOOT_U,
    STUDY_END_U,
    bank_ft,
    bfe_ft,
    edge_m,
    ground_ft,
    river_m,
)

type Row = dict[str, str]

GAUGE, RIVER = "Mill bridge", "Thane"
GAUGE_U = 8_000.0
BANK_STAGE_FT, FLOOD_STAGE_FT = 12.0, 20.0
"""Stages at which the river fills its banks and at which the 1 % flood stands."""
STAGES_FT = range(8, 27, 2)
STEP_U, LEVEL_STEP = 100.0, 5
M_PER_MI = 1_609.344
LOW_EVERY_U = 3_000.0
HOURLY = (9.0, 9.4, 10.1, 11.2, 12.8, 14.6, 16.4, 17.9, 18.8, 19.1, 18.9, 18.2, 17.2)
"""The forecast's stages, every three hours."""
FIRST_HOUR, HOURS_APART = 6, 3
CLOCK = timezone(timedelta(hours=-8))


def _spots() -> list[tuple[float, float]]:
    """Return places along the river from its mouth up: valley station and river station [mi]."""
    count = int((HEAD_U - LAKE_FOOT_U) / STEP_U)
    along = [LAKE_FOOT_U + k * STEP_U for k in range(count + 1)]
    places = [place_at(u, river_m(u)) for u in along]
    reach, spots = 0.0, [(along[0], 0.0)]
    for i in range(1, len(along)):
        reach += length_m(places[i - 1 : i + 1])
        spots.append((along[i], round(reach / M_PER_MI, 3)))
    return spots


def surface_ft(u: float, stage_ft: float) -> float:
    """Return the invented level of the river at a stage [ft, NAVD 88]."""
    share = (stage_ft - BANK_STAGE_FT) / (FLOOD_STAGE_FT - BANK_STAGE_FT)
    return bank_ft(u) + share * (bfe_ft(u) - bank_ft(u))


def gauges() -> list[Row]:
    """Return the gauge; its zero lies so that stage and level agree there."""
    u, station = min(_spots(), key=lambda spot: abs(spot[0] - GAUGE_U))
    zero_ft = surface_ft(u, BANK_STAGE_FT) - BANK_STAGE_FT
    return [
        {
            "gauge": GAUGE,
            "river": RIVER,
            "station_mi": f"{station:.3f}",
            "zero_ft": f"{zero_ft:.2f}",
            "datum": "NAVD88",
            "credit": "Invented gauge",
        }
    ]


def river() -> dict[str, Any]:
    """Return the centreline as a layer of one line."""
    spots = _spots()
    corners = [list(lon_lat(place_at(u, river_m(u)))) for u, _ in spots]
    told = {"gauge": GAUGE, "river": RIVER, "first_mi": spots[0][1], "last_mi": spots[-1][1]}
    line = {"type": "LineString", "coordinates": corners}
    return {
        "name": "river",
        "features": [{"type": "Feature", "properties": told, "geometry": line}],
    }


def levels() -> list[Row]:
    """Return the levels along the river for each stage, as far as it was studied."""
    spots = [spot for spot in _spots()[::LEVEL_STEP] if spot[0] <= STUDY_END_U]
    return [
        {
            "gauge": GAUGE,
            "stage_ft": f"{stage}",
            "station_mi": f"{station:.3f}",
            "surface_ft": f"{surface_ft(u, stage):.2f}",
            "datum": "NAVD88",
        }
        for stage in STAGES_FT
        for u, station in spots
    ]


def stages() -> list[Row]:
    """Return the last reading and a forecast of a flood that comes and goes."""
    began = datetime(TODAY.year, TODAY.month, TODAY.day, FIRST_HOUR, tzinfo=CLOCK)
    return [
        {
            "gauge": GAUGE,
            "at": (began + timedelta(hours=HOURS_APART * k)).isoformat(),
            "stage_ft": f"{stage:g}",
            "forecast": "yes" if k else "no",
        }
        for k, stage in enumerate(HOURLY)
    ]


def low_points(roads: list[Road]) -> list[Row]:
    """Return the lowest place of a named road in each stretch of the valley's flood plain."""
    wet: dict[int, tuple[float, float, str, float, float]] = {}
    for road in roads:
        for place in road.line if road.name else ():
            u, d = valley_of(place)
            if not GAUGE_U / 2 < u < STUDY_END_U or abs(d) > abs(edge_m(u, 1 if d > 0 else -1)):
                continue
            ground = ground_ft(u, d)
            lowest = (ground - bfe_ft(u), ground, road.name, *lon_lat(place))
            stretch = int(u // LOW_EVERY_U)
            wet[stretch] = min(wet.get(stretch, lowest), lowest)
    return [
        {
            "name": f"{name}, low place {stretch}",
            "lon": f"{lon:.6f}",
            "lat": f"{lat:.6f}",
            "elevation_ft": f"{ground:.1f}",
            "datum": "NAVD88",
            "source": "invented",
        }
        for stretch, (_, ground, name, lon, lat) in sorted(wet.items())
    ]
