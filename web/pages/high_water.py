"""High water: a stage goes in, out come components under water and roads that close."""

from datetime import datetime
from typing import TYPE_CHECKING

from flask import Blueprint, Response, flash, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import NotFoundError, RangeError
from registry.privacy import may
from registry.records.high_water import BeforeWater, HighWater, RoadState
from registry.services.base_map import base_map
from registry.services.before_water import before_water
from registry.services.forecast_roads import heed_forecast
from registry.services.hand_to_day import ToDay, hand_to_day
from registry.services.high_water import high_water, sites_on_map
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, writing
from web.draw.water_ladder import Ladder, RoadMark, Step, water_ladder
from web.forms import date_in, number_in

if TYPE_CHECKING:
    from registry.store import Session

pages = Blueprint("high_water", __name__, url_prefix="/high-water/")

HOLD = "hold a visit"
ROAD_WORDS = {
    RoadState.CLOSED: "closed",
    RoadState.MAY_CLOSE: "may close",
    RoadState.OPEN: "above water",
    RoadState.UNKNOWN: "not known",
}


@pages.get("/")
@needs("see high water")
def show() -> str:
    """Show what a stage puts under water."""
    stage_ft = _stage(request.args.get("stage", ""))
    gauge = request.args.get("gauge", "")
    before: BeforeWater | None = None
    with reading() as session:
        zone = zone_of(session, viewer())
        try:
            found = high_water(session, viewer(), gauge, stage_ft, parts().forecast_from(zone))
        except NotFoundError:
            if gauge:
                raise
            return render_template("high_water.html", found=None)
        if may(viewer(), HOLD):
            before = _before(session, found.gauge.name, parts().forecast_from(zone))
    base = base_map(parts().folder)
    return render_template(
        "high_water.html",
        found=found,
        ladder=_ladder(found),
        sites=_by_site(found),
        before=before,
        may_close=may(viewer(), "close a road"),
        road_words=ROAD_WORDS,
        zone=zone,
        credit=base.credit if base else "",
        present=present,
    )


@pages.get("/places.json")
@needs("see high water")
def places() -> Response:
    """Return the sites and low roads with their stages, from which the map is drawn."""
    with reading() as session:
        sites, roads = sites_on_map(session, viewer(), request.args.get("gauge", ""))
    labels: dict[str, int] = {}
    told = [
        [
            one.site_id,
            one.site,
            round(one.lon_lat.lon, 6),
            round(one.lon_lat.lat, 6),
            [[labels.setdefault(part, len(labels)), round(ft, 2)] for part, ft in one.parts],
        ]
        for one in sites
    ]
    low = [
        [one.name, one.lon_lat.lon, one.lon_lat.lat, one.stage_ft, one.may_close_ft]
        for one in roads
        if one.lon_lat is not None
    ]
    return jsonify(labels=[*labels], sites=told, roads=low)


@pages.post("/to-day")
@needs(HOLD)
def to_day() -> AnyResponse:
    """Hold the visits before and after the water, and let the days heed the forecast."""
    form = request.form
    wanted = ToDay(
        visit_on=date_in(form.get("visit_on", "")),
        visit_ids=_numbers("visit"),
        hold_until=date_in(form.get("hold_until", "")),
        hold_ids=_numbers("hold"),
        heed="heed" in form,
    )
    with writing() as session:
        now = parts().forecast_from(zone_of(session, viewer()))
        done = hand_to_day(session, viewer(), wanted, now)
    flash(
        f"Held before the water: {present.count(done.before, 'visit')}; until after it: "
        f"{present.count(done.after, 'visit')}. Order the day, so that its routes have them."
    )
    for line in done.left:
        flash(line)
    return redirect(url_for("day.show_date", on=wanted.visit_on))


@pages.post("/heed")
@needs("close a road")
def heed() -> AnyResponse:
    """Let the firm's days keep off the roads that the forecast closes, or not."""
    wanted = request.form.get("heed") == "yes"
    with writing() as session:
        heed_forecast(session, viewer(), heed=wanted)
    flash(
        "Days keep off the roads that the forecast closes. Order them again."
        if wanted
        else "Days use all roads again, whatever the forecast says. Order them again."
    )
    return redirect(url_for("high_water.show", gauge=request.form.get("gauge", "")))


def _before(session: "Session", gauge: str, now: datetime) -> BeforeWater | None:
    """Return what to do before the water, None for who belongs to no firm."""
    try:
        return before_water(session, viewer(), gauge, now)
    except NotFoundError:
        return None


def _numbers(name: str) -> tuple[int, ...]:
    found = [number_in(one) for one in request.form.getlist(name)]
    if None in found:
        raise RangeError("A site of the list is not known. Load the page again.")
    return tuple(one for one in found if one is not None)


def _stage(text: str) -> float | None:
    if not text:
        return None
    try:
        stage_ft = float(text)
    except ValueError:
        stage_ft = float("nan")
    if not abs(stage_ft) < 1000:
        raise RangeError(f"“{text[:40]}” is no stage. Give feet, such as 18.5.")
    return stage_ft


def _ladder(found: HighWater) -> str:
    if found.lowest_ft is None or found.highest_ft is None:
        return ""
    ahead = [one.stage_ft for one in found.stages if one.is_forecast]
    shown = [step for step, _ in found.by_half_foot]
    top = max([found.stage_ft + 2, *ahead, *(shown[-1:])])
    return water_ladder(
        Ladder(
            stage_ft=found.stage_ft,
            lowest_ft=found.lowest_ft,
            highest_ft=min(found.highest_ft, top + 1),
            steps=[Step(*one) for one in found.by_half_foot],
            roads=[
                RoadMark(one.name, one.stage_ft) for one in found.roads if one.stage_ft is not None
            ],
            peak_ft=max(ahead, default=None),
        )
    )


def _by_site(found: HighWater) -> list[tuple[int, str, list[str]]]:
    """Return each site with what of it is under water, the one that goes under first on top."""
    sites: dict[int, tuple[int, str, list[str]]] = {}
    for one in found.parts:
        _, _, parts = sites.setdefault(one.site_id, (one.site_id, one.site, []))
        parts.append(f"{one.part} from {present.feet(one.stage_ft)}")
    return list(sites.values())
