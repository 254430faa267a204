"""The roads that a river's forecast closes, as closures by hour that a day's plan obeys."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import shapely

from registry.flood.rising import StageSeries
from registry.flood.wet_hours import Span, series_ahead, wet_hours
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.closures import Closure
from registry.records.geodesy import metres_per_degree
from registry.records.places import LonLat
from registry.services.low_roads import LowRoad, gauge_named, low_roads
from registry.services.rivers import Rivers, known_rivers
from registry.services.see_day import firm_of
from registry.store import Session, names, rivers, users
from registry.units import MIN_PER_DAY, MIN_PER_H

CAUTION = "Any water over a road closes it: turn round, no depth is safe."
REACH_M = 15.0
"""So far around its lowest place a road is closed; our estimate of how exactly it was marked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadsByWater:
    """Closures that water makes on a date, and sentences about what they rest on."""

    closures: tuple[Closure, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterAsked:
    """What water one plan reckons with: a stage all day, or the forecast where it is None.

    ``gauge`` is whose stage, "" the first by name.
    """

    stage_ft: float | None = None
    gauge: str = ""


def roads_by_forecast(session: Session, on_date: date, zone: str) -> RoadsByWater:
    """Return what the forecasts that are kept close on a date.

    A road is closed from where the water comes within a foot of its lowest place, since a forecast
    is no better than that, to the end of that day: nobody is sent to wait behind water for its
    fall, and a road that was under water is looked at before it is driven (common practice, no
    source).
    """
    series = _forecasts(session)
    if not series:
        return RoadsByWater()
    known = known_rivers(session)
    roads = [one for one in low_roads(session, known) if one.gauge in series]
    day_s = _day_s(on_date, zone)
    closures: list[Closure] = []
    notes: list[str] = []
    for one in roads:
        if np.isnan(one.may_close_ft):
            continue
        wet = wet_hours(series[one.gauge], one.may_close_ft, day_s).spans_s
        if wet:
            closed_s = (wet[0][0], day_s[1])
            closures.append(_closure(one, series[one.gauge], closed_s, on_date, zone))
    notes += _unknown(roads, series, known)
    for gauge, ahead in series.items():
        last = float(ahead.at_s[-1])
        if day_s[0] < last < day_s[1] and any(one.gauge == gauge for one in roads):
            said = _clock(last, zone)
            notes.append(f"The forecast of {gauge} ends at {said}: no road is closed by it later.")
    if closures:
        low = "1 low place is" if len(closures) == 1 else f"{len(closures)} low places are"
        notes.insert(0, f"{low} closed by the river’s forecast. {CAUTION}")
    return RoadsByWater(closures=tuple(closures), notes=tuple(notes))


def roads_at_stage(
    session: Session, stage_ft: float, on_date: date, gauge_name: str = ""
) -> RoadsByWater:
    """Return what a stage of a gauge closes all day, as if the river stood so high.

    Raises
    ------
    NotFoundError
        If there is no such gauge.
    """
    known = known_rivers(session)
    gauge = gauge_named(known, gauge_name)
    roads = [one for one in low_roads(session, known) if one.gauge == gauge.name]
    closures = tuple(
        Closure(
            name=one.point.name,
            shape=_around(one.point.lon_lat),
            first_on=on_date,
            last_on=on_date,
            why=f"{gauge.name} at {stage_ft:g} ft",
        )
        for one in roads
        if one.may_close_ft <= stage_ft
    )
    flat = StageSeries(at_s=np.zeros(1), stage_ft=np.array([stage_ft]))
    low = "1 low place is" if len(closures) == 1 else f"{len(closures)} low places are"
    notes = [f"As if {gauge.name} stood at {stage_ft:g} ft all day: {low} closed. {CAUTION}"]
    notes += _unknown(roads, {gauge.name: flat}, known)
    return RoadsByWater(closures=closures, notes=tuple(notes))


def heed_forecast(session: Session, viewer: Viewer, *, heed: bool) -> None:
    """Let the days of the viewer's firm keep off the roads that the forecast closes, or not.

    Nothing is copied: each ordering reads the forecast that is kept then, so a newer one closes and
    opens roads by itself.

    Raises
    ------
    AccessError
        If the role may not close roads.
    """
    require(viewer, "close a road")
    users.set_setting(session, _heeds(firm_of(session, viewer)), "yes" if heed else "")


def heeds_forecast(session: Session, firm_id: int) -> bool:
    """Tell whether a firm's days keep off the roads that the forecast closes."""
    return users.setting(session, _heeds(firm_id)) == "yes"


def roads_by_water(
    session: Session, firm_id: int, on_date: date, asked: WaterAsked | None = None
) -> RoadsByWater:
    """Return what water closes on a date of a firm.

    Parameters
    ----------
    asked
        What one plan asks for; None = the forecast, where the firm heeds it.

    Raises
    ------
    NotFoundError
        If a gauge is named that is not known.
    """
    if asked is None and not heeds_forecast(session, firm_id):
        return RoadsByWater()
    if asked is not None and asked.stage_ft is not None:
        return roads_at_stage(session, asked.stage_ft, on_date, asked.gauge)
    return roads_by_forecast(session, on_date, names.zone_of_firm(session, firm_id))


def _heeds(firm_id: int) -> str:
    return f"forecast heeded by firm {firm_id}"


def _forecasts(session: Session) -> dict[str, StageSeries]:
    """Return the series of each gauge that has a forecast."""
    found: dict[str, StageSeries] = {}
    for name, gauge_id in rivers.gauge_ids(session).items():
        stages = rivers.stages_of(session, gauge_id)
        series = series_ahead(stages)
        if series is not None and any(one.is_forecast for one in stages):
            found[name] = series
    return found


def _closure(one: LowRoad, series: StageSeries, span: Span, on_date: date, zone: str) -> Closure:
    at = datetime.fromtimestamp(span[0], ZoneInfo(zone))
    begins = at.hour * MIN_PER_H + at.minute
    said = f"by the forecast of {one.gauge}"
    wet = [] if np.isnan(one.stage_ft) else series.spans_above(one.stage_ft)
    wet = [(a, b) for a, b in wet if a < span[1] and b > span[0]]
    if wet:
        said += f" under water from {_moment(wet[0][0], zone)} to {_moment(wet[-1][1], zone)}"
    else:
        said += " the water comes within a foot of it"
    return Closure(
        name=one.point.name,
        shape=_around(one.point.lon_lat),
        first_on=on_date,
        last_on=on_date,
        hours=(begins, MIN_PER_DAY) if begins else None,
        why=said,
        made_by=one.gauge,
    )


def _unknown(
    roads: Sequence[LowRoad], series: Mapping[str, StageSeries], known: Rivers
) -> list[str]:
    """Return sentences about low places of which nothing can be said."""
    silent = [one.point.name for one in roads if np.isnan(one.stage_ft)]
    for one in roads:
        profile = known.profiles.get(one.gauge)
        peak = float(series[one.gauge].stage_ft.max())
        if profile is not None and np.isposinf(one.stage_ft) and peak > profile.stages_ft[-1]:
            silent.append(one.point.name)
    if not silent:
        return []
    return [f"Of these low places nothing can be said, look at them: {', '.join(silent)}."]


def _around(place: LonLat) -> shapely.Geometry:
    east_m, north_m = metres_per_degree(place.lat)
    circle = shapely.Point(0.0, 0.0).buffer(REACH_M, quad_segs=4)
    return shapely.transform(circle, lambda m: m / (east_m, north_m) + np.asarray(place))


def _day_s(on_date: date, zone: str) -> Span:
    clock = ZoneInfo(zone)
    begins = datetime.combine(on_date, time(), clock)
    ends = datetime.combine(on_date + timedelta(days=1), time(), clock)
    return begins.timestamp(), ends.timestamp()


def _clock(moment_s: float, zone: str) -> str:
    return f"{datetime.fromtimestamp(moment_s, ZoneInfo(zone)):%H:%M}"


def _moment(moment_s: float, zone: str) -> str:
    at = datetime.fromtimestamp(moment_s, ZoneInfo(zone))
    return f"{at:%H:%M} on {at.day} {at:%B}"
