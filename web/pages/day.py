"""The Day page: the routes of one date, the visits left waiting, and ordering it anew."""

from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from flask import (
    Blueprint,
    Response,
    current_app,
    flash,
    jsonify,
    redirect,
    render_template,
    request,
    url_for,
)
from werkzeug.wrappers import Response as AnyResponse

from registry.plan.day_changes import move_words
from registry.plan.say import clock
from registry.privacy import may
from registry.records.changes import Role
from registry.records.day import Day, Route, Stop
from registry.report.ink import HANDS
from registry.services.closures import list_closures
from registry.services.hold_visit import hold_visit, release_visit, site_id_of
from registry.services.morning import see_morning
from registry.services.order_day import (
    ask_for_order,
    close_lost_jobs,
    job_to_stop,
    note_started,
)
from registry.services.rivers_now import rivers_now
from registry.services.run_day import ACT
from registry.services.see_day import DayView, firm_of, see_day
from registry.services.see_running import see_running
from registry.services.settle_site import sites_to_settle
from registry.services.settle_visit import ACT as SETTLE
from registry.services.settle_visit import visits_twice
from registry.services.viewer_zone import zone_of
from registry.units import MIN_PER_DAY, S_PER_MIN
from web import present
from web.access import needs, viewer
from web.closed_hours import bands_of, closed_words
from web.context import parts, reading, today, writing
from web.day_totals import day_totals
from web.draw.chart_breaks import breaks_of
from web.draw.chart_lines import map_hands
from web.draw.chart_table import route_table
from web.draw.time_distance import time_distance_charts
from web.forms import DAYS_TOGETHER, date_in, days_in, hold_in
from web.pages.day_run import minute_of
from web.river_words import river_words
from web.start_job import is_alive, start_ordering, stop_ordering

pages = Blueprint("day", __name__, url_prefix="/day")


@pages.get("/")
@needs("see the day")
def show() -> AnyResponse:
    """Go to today's page, or to the date that the form asks for."""
    asked = request.args.get("date")
    if asked:
        return redirect(url_for("day.show_date", on=date_in(asked)))
    with reading() as session:
        zone = zone_of(session, viewer())
    return redirect(url_for("day.show_date", on=today(zone)))


@pages.get("/<on>")
@needs("see the day")
def show_date(on: str) -> str:
    """Show one date."""
    with reading() as session:
        view = see_day(session, viewer(), date_in(on))
        closed = list_closures(session, viewer(), view.on_date)
        at_min = minute_of(view.on_date, view.zone)
        running = see_running(session, viewer(), view.on_date, at_min) if _may_run() else None
        morning = see_morning(session, viewer(), view.day, view.on_date)
        may_settle = may(viewer(), SETTLE)
        twice = visits_twice(session, viewer(), view.on_date) if may_settle else []
        waiting_words = sites_to_settle(session, viewer()) if may_settle else []
        asked = request.args.get("beside")
        beside = see_day(session, viewer(), date_in(asked)) if asked else None
        stands = rivers_now(session, viewer(), parts().forecast_from(view.zone))
    day = view.day
    routes = [(one, route_table(one, view.zone)) for one in day.routes if one.stops] if day else []
    own_route = routes[0][0] if routes and viewer().role is Role.TECHNICIAN else None
    return render_template(
        "day.html",
        view=view,
        day=day,
        routes=routes,
        own_route=own_route,
        on_phone=view.on_date == today(view.zone),
        charts=_charts(view, "chart"),
        hands=map_hands(),
        totals=_totals(view, whole=own_route is None),
        morning=morning,
        breaks=_breaks(day),
        beside=beside,
        beside_charts=_charts(beside, "beside") if beside else (),
        beside_totals=_totals(beside, whole=own_route is None) if beside else [],
        before=view.on_date - timedelta(days=1),
        after=view.on_date + timedelta(days=1),
        may_order=may(viewer(), "order the day"),
        days_together=DAYS_TOGETHER,
        waiting_words=waiting_words,
        may_hold=may(viewer(), "hold a visit"),
        may_close=may(viewer(), "close a road"),
        closed=closed,
        closed_words=closed_words(day, view.zone) if day else [],
        rivers=[river_words(one, view.zone) for one in stands],
        running=running,
        is_today=view.on_date == today(view.zone),
        twice=twice,
        at=clock(at_min % MIN_PER_DAY * S_PER_MIN),
        move_words=lambda one: move_words(one, ZoneInfo(view.zone)),
        held={one.site_id: one for one in view.holds},
        present=present,
    )


@pages.post("/<on>/order")
@needs("order the day")
def order(on: str) -> AnyResponse:
    """Start ordering a date and go back to its page, which shows how it goes."""
    on_date, days = date_in(on), days_in(request.form)
    with writing() as session:
        close_lost_jobs(session, is_alive, parts().now())
        firm_id = firm_of(session, viewer())
        job_id = ask_for_order(session, viewer(), on_date, parts().now())
    search_s = current_app.config["SEARCH_S"]
    pid = start_ordering(parts(), job_id, firm_id, on_date, search_s, days)
    with writing() as session:
        note_started(session, job_id, pid)
    return redirect(url_for("day.show_date", on=on_date))


@pages.post("/<on>/stop")
@needs("order the day")
def stop(on: str) -> AnyResponse:
    """End the ordering of a date; the best plan that it found is kept."""
    with reading() as session:
        job = job_to_stop(session, viewer(), date_in(on))
    if stop_ordering(job.pid):
        flash("Stopping: the best plan found so far is kept.")
    else:
        flash("It cannot be stopped from here; it ends by itself.")
    return redirect(url_for("day.show_date", on=on))


@pages.get("/<on>/progress.json")
@needs("see the day")
def progress(on: str) -> Response:
    """Say how the ordering of a date goes."""
    with reading() as session:
        job = see_day(session, viewer(), date_in(on)).job
    if job is None:
        return jsonify(state="none", progress="")
    if job.is_open and job.pid is not None and not is_alive(job.pid):
        with writing() as session:
            close_lost_jobs(session, is_alive, parts().now())
            job = see_day(session, viewer(), date_in(on)).job or job
    return jsonify(state=job.state, progress=job.progress)


@pages.post("/<on>/hold")
@needs("hold a visit")
def hold(on: str) -> AnyResponse:
    """Fix a visit on this date."""
    with writing() as session:
        site_id = None
        if "site" in request.form:
            site_id = site_id_of(session, viewer(), request.form["site"])
        wanted = hold_in(request.form, date_in(on), site_id)
        hold_visit(session, viewer(), wanted, parts().now())
    flash("Held. Order the day again to see what it changes.")
    return redirect(url_for("day.show_date", on=on))


@pages.post("/<on>/release")
@needs("hold a visit")
def release(on: str) -> AnyResponse:
    """Let a held visit go."""
    wanted = hold_in(request.form, date_in(on))
    with writing() as session:
        release_visit(session, viewer(), wanted)
    flash("Released. Order the day again to see what it changes.")
    return redirect(url_for("day.show_date", on=on))


@pages.get("/<on>/routes.geojson")
@needs("see the day")
def routes_geojson(on: str) -> Response:
    """Return routes, stops and waiting visits for the map of the page."""
    with reading() as session:
        view = see_day(session, viewer(), date_in(on))
    return jsonify(type="FeatureCollection", features=_features(view.day) if view.day else [])


def _features(day: Day) -> list[dict[str, Any]]:
    features: list[dict[str, Any]] = []
    for number, route in enumerate(one for one in day.routes if one.stops):
        line = route.line or (
            route.start,
            *(stop.lon_lat for stop in route.stops if stop.lon_lat is not None),
            route.end,
        )
        along = [[place.lon, place.lat] for place in line]
        shape: dict[str, Any] = {"type": "LineString", "coordinates": along}
        told = {"kind": "route", "hand": number % len(HANDS), "who": route.technician}
        features.append({"type": "Feature", "geometry": shape, "properties": told})
        features += [
            _point(stop, route, number % len(HANDS)) for stop in route.stops if stop.lon_lat
        ]
    for one in day.waiting:
        if one.lon_lat is not None:
            shape = {"type": "Point", "coordinates": [one.lon_lat.lon, one.lon_lat.lat]}
            told = {"kind": "waiting", "site": one.site, "site_id": one.site_id, "why": one.why}
            features.append({"type": "Feature", "geometry": shape, "properties": told})
    return features


def _point(stop: Stop, route: Route, hand: int) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": list(stop.lon_lat or ())},
        "properties": {
            "kind": stop.kind,
            "label": f"{stop.arrives:%H:%M} {route.initials}",
            "site": stop.site or stop.place,
            "site_id": stop.site_id,
            "tasks": ", ".join(stop.tasks),
            "hand": hand,
        },
    }


def _may_run() -> bool:
    return may(viewer(), ACT)


def _charts(view: DayView, ident: str) -> tuple[str, ...]:
    """Return the charts of a day, none where nobody drives."""
    if view.day is None or not any(one.stops for one in view.day.routes):
        return ()
    return time_distance_charts(view.day, view.zone, bands_of(view.day, view.zone), ident=ident)


def _breaks(day: Day | None) -> list[str]:
    """Return what a plan that was kept by hand breaks, in sentences."""
    routes = day.routes if day else ()
    return [f"{one.technician}: {words}." for one in routes for words in breaks_of(one)]


def _totals(view: DayView, *, whole: bool) -> list[tuple[str, str]]:
    """Return what a day comes to; nothing where it is not ordered."""
    if view.day is None:
        return []
    return day_totals(view.day, view.zone, waiting=len(view.day.waiting), whole=whole)
