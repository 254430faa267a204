"""What to do before a river is there, and handing it to the Day in one step."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

import numpy as np

from registry.due.before_water import site_before
from registry.flood.rising import StageSeries
from registry.flood.road_water import MAY_CLOSE_FT
from registry.flood.wet_hours import series_ahead
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.crew import Technician
from registry.records.high_water import BeforeWater, PartUnder, SiteBefore
from registry.records.work import TaskKind
from registry.services.forecast_roads import heeds_forecast
from registry.services.low_roads import gauge_named
from registry.services.plan_days import working_days
from registry.services.rivers import known_rivers
from registry.services.see_day import firm_of
from registry.store import Session, component_stages, crew, names, rivers
from registry.store.obligations import due_for_visits
from registry.store.rules import task_kinds
from registry.store.scope import Scope

ACT = "hold a visit"
MOST = 20_000
"""Parts that are looked at: those that go under first."""


def before_water(session: Session, viewer: Viewer, gauge_name: str, now: datetime) -> BeforeWater:
    """Return what to do before the water of a gauge's forecast is there.

    Raises
    ------
    AccessError
        If the role may not hold visits.
    NotFoundError
        If there is no such gauge.
    """
    require(viewer, ACT)
    gauge = gauge_named(known_rivers(session), gauge_name)
    firm_id = firm_of(session, viewer)
    stages = rivers.stages_of(session, gauge.id)
    series = _from_now(series_ahead(stages), now)
    ahead = any(one.is_forecast and one.at >= now for one in stages)
    told = BeforeWater(
        gauge=gauge.name,
        peak_ft=None,
        peak_at=None,
        visit_on=None,
        hold_until=None,
        sites=(),
        heeds_forecast=heeds_forecast(session, firm_id),
        zone=names.zone_of_firm(session, firm_id),
    )
    if series is None or not ahead:
        return told
    zone = ZoneInfo(told.zone)
    people = crew.technicians(session, firm_id)
    peak_ft = float(series.stage_ft.max())
    visit_on = _working_day(people, now.astimezone(zone).date())
    parts = component_stages.first_under(
        session,
        Scope(firm_id=firm_id),
        gauge.id,
        float(series.stage_ft[0]),
        peak_ft + MAY_CLOSE_FT,
        MOST,
    )
    sites = _sites(session, firm_id, parts, series, visit_on or now.date(), now)
    return replace(
        told,
        peak_ft=peak_ft,
        peak_at=_moment(series.at_s[int(np.argmax(series.stage_ft))]),
        visit_on=visit_on,
        hold_until=_working_day(people, _over_on(series, parts, zone)),
        sites=tuple(sites),
    )


def _sites(
    session: Session,
    firm_id: int,
    parts: Sequence[PartUnder],
    series: StageSeries,
    on_date: date,
    now: datetime,
) -> list[SiteBefore]:
    """Return what to do at each site, the one that the water reaches first on top."""
    kinds = {one.code: one for one in task_kinds(session)}
    due: dict[int, list[TaskKind]] = {}
    ids = {one.site_id for one in parts}
    for one in due_for_visits(session, firm_id, on_date, None, ids) if ids else ():
        if one.task in kinds:
            due.setdefault(one.site_id, []).append(kinds[one.task])
    reached = series.first_reached_s([one.stage_ft or np.nan for one in parts])
    when = [None if np.isnan(moment) else _moment(moment) for moment in reached]
    mine = sorted(zip(parts, when, strict=True), key=lambda one: one[0].site_id)
    found = [
        site_before(list(group), due.get(site_id, []), now)
        for site_id, group in groupby(mine, key=lambda one: one[0].site_id)
    ]
    found = [one for one in found if one.visit or one.hold]
    last = datetime.max.replace(tzinfo=UTC)
    return sorted(found, key=lambda one: (one.first_at or last, one.site))


def _from_now(series: StageSeries | None, now: datetime) -> StageSeries | None:
    """Return a series from now on, begun with the stage that it has now, as far as it goes."""
    if series is None:
        return None
    now_s = now.timestamp()
    if series.at_s[-1] <= now_s:
        return None
    later = series.at_s > now_s
    stage_ft = float(np.interp(now_s, series.at_s, series.stage_ft))
    return StageSeries(
        at_s=np.concatenate(([now_s], series.at_s[later])),
        stage_ft=np.concatenate(([stage_ft], series.stage_ft[later])),
    )


def _over_on(series: StageSeries, parts: Sequence[PartUnder], zone: ZoneInfo) -> date:
    """Return the day after the water is off the lowest part, or after the forecast ends."""
    lowest = min((one.stage_ft for one in parts if one.stage_ft is not None), default=np.inf)
    spans = series.spans_above(lowest)
    over_s = spans[-1][1] if spans else float(series.at_s[-1])
    return datetime.fromtimestamp(over_s, zone).date() + timedelta(days=1)


def _working_day(people: Sequence[Technician], first: date) -> date | None:
    return next(working_days(people, first), None)


def _moment(moment_s: float) -> datetime:
    return datetime.fromtimestamp(float(moment_s), UTC)
