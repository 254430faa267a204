"""The phone's day without signal: what to take along, the page that shows it, the worker."""

import json
from urllib.parse import unquote

from flask import Blueprint, Response, abort, jsonify, render_template, request, url_for

from registry.records.changes import Role
from registry.records.day import Route
from registry.services.base_map import base_map
from registry.services.field_of_site import sites_with_laterals
from registry.services.see_day import see_day
from registry.services.see_photos import see_photos
from registry.services.viewer_zone import zone_of
from web import static_files
from web.access import needs, signed_in, viewer
from web.carry_tiles import tiles_of_day
from web.context import parts, reading, today
from web.library import FILES, library_url

pages = Blueprint("carry", __name__)

PHOTOS_EACH = 12
"""The newest photos of a site that go along."""


@pages.get("/carry/")
def show() -> str:
    """Show what is on this phone; the same page for everybody, since its script fills it in."""
    return render_template("carry.html", pages=(), viewer=None)


@pages.get("/sw.js")
def worker() -> Response:
    """Send the service worker: it changes with any of our files, so that browsers take the new."""
    told = {"edition": static_files.edition(), "page": url_for("carry.show"), "files": _files()}
    address = static_files.address_of_edition()
    script = f"import {{serve}} from '{address}/carry-worker.js';\nserve({json.dumps(told)});\n"
    answer = Response(script, mimetype="text/javascript")
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@pages.get("/carry/day.json")
@needs("see the day")
def day_json() -> Response:
    """Return what a technician's phone takes along for today: addresses, and what they are."""
    if viewer().role is not Role.TECHNICIAN:
        abort(403)
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        day = see_day(session, viewer(), on_date).day
        route = next((one for one in day.routes if one.visits), None) if day else None
        sites = [one.site_id for one in route.visits] if route else []
        with_laterals = sites_with_laterals(session, viewer(), sites)
        photos = {
            url_for("photos.show", digest=digest)
            for site_id in sites
            for photo in see_photos(session, viewer(), site_id).photos[:PHOTOS_EACH]
            for digest in (photo.digest, photo.preview_digest)
            if digest
        }
    on = on_date.isoformat()
    taken = {
        "day": [
            url_for("day.show_date", on=on),
            url_for("day.routes_geojson", on=on),
            url_for("closed_roads.on_the_map", on=on),
            url_for("tiles.style"),
        ],
        "gate sheets": [url_for("gate_sheet.show", site_id=one, on=on) for one in sites],
        "forms": [
            url_for(end, site_id=one, on=on)
            for one in sites
            for end in ("record.show", "record.form_json")
        ],
        "hydraulics pages": [url_for("hydraulics.show", site=one) for one in with_laterals],
        "photos": sorted(photos),
    }
    return jsonify(
        format="riserway-carried-day/1",
        who=viewer().name,
        on_date=on,
        plan=day.number if day else 0,
        sites=len(set(sites)),
        start=url_for("day.show_date", on=on),
        sealed=taken if route else {},
        files=_files(),
        edition=static_files.edition(),
        tiles=_tiles(route) if route else [],
        server_time=parts().now().isoformat(),
    )


@pages.before_app_request
def refuse_for_somebody_else() -> tuple[Response, int] | None:
    """Answer 401 to what one technician kept, where another has signed in on the same phone."""
    kept_by = request.headers.get("Riserway-Who")
    if kept_by is None or not signed_in() or unquote(kept_by) == viewer().name:
        return None
    return jsonify(complaints=["Somebody else recorded this. Sign in as who it was."]), 401


def _files() -> list[str]:
    """Return the addresses of styles, scripts and the map library."""
    address = static_files.address_of_edition()
    own = [f"{address}/{name}" for name in static_files.file_names()]
    return [*own, *(library_url(name) for name in FILES)]


def _tiles(route: Route) -> list[str]:
    base = base_map(parts().folder)
    if base is None:
        return []
    sites = [one.lon_lat for one in route.visits if one.lon_lat]
    way = [route.start, *(route.line or sites), route.end]
    return [
        url_for("tiles.base", revision=base.revision, z=z, x=x, y=y)
        for z, x, y in tiles_of_day(way, sites)
    ]
