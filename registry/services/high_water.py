"""High water: at which stage each component goes under, and what one stage puts under water."""

from collections.abc import Collection, Sequence
from datetime import UTC, datetime

import numpy as np

from registry.flood.going_under import FARTHEST_M, GoingUnder, Things, going_under
from registry.flood.rising import series_of
from registry.flood.road_water import road_state
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.geodesy import metres_per_degree
from registry.records.high_water import HighWater, RoadUnder, SiteOnMap
from registry.records.places import LonLat
from registry.records.rivers import Gauge, Stage
from registry.services.low_roads import gauge_named, low_roads, to_navd88_ft
from registry.services.rivers import Rivers, known_rivers
from registry.store import Session, component_stages, rivers
from registry.store.scope import scope_of

MOST_SHOWN = 500
MOST_DRAWN = 100_000
"""Parts on the map at once: some ten thousand sites."""
AHEAD_FT = 3.0
"""How far above the stage things are told that go under next."""


def work_out_stages(session: Session, site_ids: Collection[int] | None = None) -> int:
    """Work out and keep at which stage components go under; return of how many it is known.

    Parameters
    ----------
    site_ids
        Only of these sites; None = all.
    """
    component_stages.forget_stages(session, site_ids)
    known = known_rivers(session)
    if not known.lines:
        return 0
    gauge_ids = {gauge.name: gauge.id for gauge in known.gauges}
    count = 0
    for parts in component_stages.parts_in(session, _box(known), site_ids):
        found = going_under(_parts(session, parts), known.lines, known.profiles)
        columns = _columns(known, gauge_ids, [one[0] for one in parts], found)
        component_stages.keep_stages(session, columns)
        count += sum(one is not None for one in columns["stage_ft"])
    return count


def high_water(
    session: Session, viewer: Viewer, gauge_name: str, stage_ft: float | None, now: datetime
) -> HighWater:
    """Return what a stage of a gauge puts under water, as a viewer may see it.

    Parameters
    ----------
    gauge_name
        Which gauge; "" is the first by name.
    stage_ft
        The stage; None is the last one that was read, else the lowest that is known. [ft]
    now
        From when on a forecast counts.

    Raises
    ------
    AccessError
        If the role may not see high water.
    NotFoundError
        If there is no such gauge.
    RangeError
        If the levels that are kept cannot be a river's.
    """
    require(viewer, "see high water")
    known = known_rivers(session)
    gauge = gauge_named(known, gauge_name)
    scope = scope_of(viewer)
    profile = known.profiles.get(gauge.name)
    stages = rivers.stages_of(session, gauge.id)
    if stage_ft is None:
        read = [one.stage_ft for one in stages if not one.is_forecast and one.at <= now]
        stage_ft = read[-1] if read else float(profile.stages_ft[0]) if profile else 0.0
    covered = profile is not None and bool(
        profile.stages_ft[0] <= stage_ft <= profile.stages_ft[-1]
    )
    surface = (
        profile.surface_at(stage_ft, [gauge.station_mi])[0]
        if profile is not None and gauge.station_mi is not None
        else np.nan
    )
    counts = component_stages.under_at(session, scope, gauge.id, stage_ft)
    n_unknown, unknown = component_stages.unknown_parts(session, scope, MOST_SHOWN)
    return HighWater(
        gauge=gauge,
        gauges=tuple(one.name for one in known.gauges),
        stages=tuple(stages),
        stage_ft=stage_ft,
        lowest_ft=float(profile.stages_ft[0]) if profile else None,
        highest_ft=float(profile.stages_ft[-1]) if profile else None,
        by_half_foot=tuple(component_stages.by_half_foot(session, scope, gauge.id)),
        surface_ft=None if np.isnan(surface) else float(surface),
        datum=profile.datum if profile else "",
        is_estimate=gauge.name in known.estimated,
        covered=covered,
        reached_at=_reached_at(stages, stage_ft, now),
        n_parts=counts.parts,
        n_sites=counts.sites,
        parts=tuple(
            component_stages.first_under(session, scope, gauge.id, -1e9, stage_ft, MOST_SHOWN)
        ),
        next_parts=tuple(
            component_stages.first_under(
                session, scope, gauge.id, stage_ft, stage_ft + AHEAD_FT, MOST_SHOWN
            )
        ),
        roads=tuple(_roads(session, known, gauge, stage_ft)),
        n_unknown=n_unknown,
        unknown=tuple(unknown),
    )


def sites_on_map(
    session: Session, viewer: Viewer, gauge_name: str
) -> tuple[list[SiteOnMap], list[RoadUnder]]:
    """Return the sites beside a gauge's river with the stages of their parts, and low roads.

    From these alone the map is drawn for every stage. At most ``MOST_DRAWN`` parts are told, those
    that go under first.

    Raises
    ------
    AccessError
        If the role may not see high water.
    NotFoundError
        If there is no such gauge.
    """
    require(viewer, "see high water")
    known = known_rivers(session)
    gauge = gauge_named(known, gauge_name)
    places: dict[int, tuple[str, LonLat]] = {}
    parts: dict[int, list[tuple[str, float]]] = {}
    scope = scope_of(viewer)
    for site_id, key, lon, lat, part, stage_ft in component_stages.stages_on_map(
        session, scope, gauge.id, MOST_DRAWN
    ):
        places[site_id] = (key, LonLat(lon, lat))
        parts.setdefault(site_id, []).append((part, stage_ft))
    found = [
        SiteOnMap(site_id=one, site=key, lon_lat=place, parts=tuple(parts[one]))
        for one, (key, place) in places.items()
    ]
    profile = known.profiles.get(gauge.name)
    lowest_ft = float(profile.stages_ft[0]) if profile else 0.0
    return found, _roads(session, known, gauge, lowest_ft)


def _reached_at(stages: Sequence[Stage], stage_ft: float, now: datetime) -> datetime | None:
    """Return when the forecast first stands at a stage from now on, None if it never does."""
    ahead = [one for one in stages if one.is_forecast and one.at >= now]
    if not ahead:
        return None
    series = series_of([one.at.timestamp() for one in ahead], [one.stage_ft for one in ahead])
    moment = series.first_reached_s([stage_ft])[0]
    return None if np.isnan(moment) else datetime.fromtimestamp(float(moment), UTC)


def _roads(session: Session, known: Rivers, gauge: Gauge, stage_ft: float) -> list[RoadUnder]:
    """Return the low points on a gauge's river, those that go under first at the top."""
    profile = known.profiles.get(gauge.name)
    if profile is None:
        return []
    mine = [one for one in low_roads(session, known) if one.gauge == gauge.name]
    level_ft = profile.surface_at(stage_ft, [one.station_mi for one in mine])
    over_ft = level_ft - np.array([one.level_ft for one in mine])
    return [
        RoadUnder(
            name=one.point.name,
            state=road_state(over_ft[i]),
            over_ft=None if np.isnan(over_ft[i]) else float(over_ft[i]),
            stage_ft=one.stage_ft if np.isfinite(one.stage_ft) else None,
            why_unknown=one.why_unknown,
            lon_lat=one.point.lon_lat,
            may_close_ft=one.may_close_ft if np.isfinite(one.may_close_ft) else None,
        )
        for i, one in enumerate(mine)
    ]


def _parts(session: Session, parts: Sequence[component_stages.Part]) -> Things:
    _, lon, lat, elevation_ft, datum, stated_ft = zip(*parts, strict=True)
    offsets = [
        float(one) if one is not None else to_navd88_ft(session, LonLat(x, y), word)
        for x, y, word, one in zip(lon, lat, datum, stated_ft, strict=True)
    ]
    return Things(
        lon_lat_deg=np.column_stack([lon, lat]).astype(np.float64),
        elevation_ft=np.array([np.nan if z is None else z for z in elevation_ft]),
        datum=np.array([word or "" for word in datum], np.object_),
        ngvd29_to_navd88_ft=np.array(offsets),
    )


def _columns(
    known: Rivers, gauge_ids: dict[str, int], component_ids: Sequence[int], found: GoingUnder
) -> dict[str, list[object]]:
    """Return the rows to keep: components near a river, as columns of the table."""
    columns: dict[str, list[object]] = {
        name: [] for name in ("component_id", "gauge_id", "station_mi", "stage_ft", "why_unknown")
    }
    for i in np.nonzero(found.line >= 0)[0].tolist():
        gauge = known.lines[found.line[i]].gauge
        reached, why = float(found.stage_ft[i]), str(found.why_unknown[i])
        if reached == -np.inf:
            reached = float(known.profiles[gauge].stages_ft[0])
        if reached == np.inf:
            continue  # no stage that is known concerns it
        columns["component_id"].append(component_ids[i])
        columns["gauge_id"].append(gauge_ids[gauge])
        columns["station_mi"].append(float(found.station_mi[i]))
        columns["stage_ft"].append(None if np.isnan(reached) else reached)
        columns["why_unknown"].append(why)
    return columns


def _box(known: Rivers) -> component_stages.Box:
    """Return the box of all centrelines, widened by how far from them anything is said. [deg]."""
    corners = np.concatenate([line.lon_lat_deg for line in known.lines])
    (west, south), (east, north) = corners.min(axis=0), corners.max(axis=0)
    per_lon, per_lat = metres_per_degree(max(abs(south), abs(north)))
    wide, high = FARTHEST_M / float(per_lon), FARTHEST_M / float(per_lat)
    return float(west) - wide, float(south) - high, float(east) + wide, float(north) + high
