"""Walking from where the truck stands to the lids, as a part of a visit's minutes."""

from collections.abc import Sequence
from dataclasses import replace

from registry.records.places import LonLat
from registry.records.visits import DueVisit, Traced
from registry.units import FT_PER_M, M_PER_FT, M_PER_MI, S_PER_H, S_PER_MIN

REACH_M = 30.0
"""A truck stands that near to the lids without a walk worth counting, for a 100 ft hose reaches so
far; common practice, no source."""
PACE_MPH = 3.0
"""Walking with tools, there and back once; common practice, no source."""
LABEL = "walk from the road's end, there and back"


def walk_s(snap_m: float, noted_ft: float | None = None) -> float:
    """Return the seconds of walking from the road's end to the lids and back.

    Parameters
    ----------
    snap_m
        How far the site lies from the road that it was put on. [m]
    noted_ft
        What the site's note says of the walk; it wins over the map. [ft]
    """
    one_way_m = max(0.0, snap_m - REACH_M) if noted_ft is None else noted_ft * M_PER_FT
    return 2 * one_way_m / (PACE_MPH * M_PER_MI / S_PER_H)


def walked_ft(walk_min: float) -> float:
    """Return the walk that takes so many minutes there and back, one way. [ft]."""
    return walk_min * S_PER_MIN * PACE_MPH * M_PER_MI / S_PER_H / 2 / M_PER_FT


def with_walk(visit: DueVisit, snap_m: float) -> DueVisit:
    """Return a visit whose minutes include the walk, in whole seconds, and say so."""
    walk_min = round(walk_s(snap_m, visit.walk_ft)) / S_PER_MIN
    if not walk_min:
        return visit
    if visit.walk_ft is None:
        why = f"{snap_m * FT_PER_M:,.0f} ft from the nearest road, the first "
        why += f"{REACH_M * FT_PER_M:.0f} ft without a walk"
    else:
        why = f"{visit.walk_ft:,.0f} ft by the site's access note"
    source = f"{why}; at {PACE_MPH:g} mph, common practice, no source"
    return replace(
        visit,
        walk_min=walk_min,
        service_min=visit.service_min + walk_min,
        minutes_trace=(*visit.minutes_trace, Traced(LABEL, walk_min, source)),
    )


def with_walks(
    visits: Sequence[DueVisit], places: Sequence[LonLat], snap_m: Sequence[float]
) -> tuple[DueVisit, ...]:
    """Return visits whose minutes include the walks from the road.

    Parameters
    ----------
    visits
        The due visits of a date.
    places, snap_m
        The n places that a road engine was asked for, and how far each lies from its road. [m]
    """
    away_m = dict(zip(places, snap_m, strict=True))
    return tuple(
        one if one.lon_lat is None else with_walk(one, float(away_m.get(one.lon_lat, 0.0)))
        for one in visits
    )
