"""Tiles: the base map, and the systems of the county map as lid marks or hatched squares."""

import hashlib
from functools import cache
from typing import Any

from flask import Blueprint, Response, abort, jsonify, request
from werkzeug.wrappers import Response as AnyResponse

from registry.records.due_rows import DueMark, TileRows
from registry.records.filter_text import filter_of
from registry.records.places import LonLat
from registry.services.base_map import base_map, base_tile
from registry.services.overdue_map import overdue_tile
from registry.services.viewer_zone import zone_of
from web.access import needs, viewer
from web.context import parts, reading, today
from web.draw.grid_square import hatch_level, square_sprite
from web.draw.lid_sprite import lid_sheet
from web.map_style import map_style
from web.vector_tile import encode

pages = Blueprint("tiles", __name__, url_prefix="/tiles")

VECTOR = "application/vnd.mapbox-vector-tile"
"""The registered media type of the open tile format."""
CLOSEST = 22
"""The closest zoom at which a tile is asked for; maps use 14 and enlarge it."""
AN_HOUR = "private, max-age=3600"


@pages.get("/style.json")
@needs("read a site file")
def style() -> Response:
    """Return how the base map is drawn; the page makes whole addresses of the tiles."""
    base = base_map(parts().folder)
    revision = base.revision if base else "none"
    return jsonify(map_style(base, f"/tiles/base/{revision}/{{z}}/{{x}}/{{y}}.pbf"))


@pages.get("/base/<revision>/<int:z>/<int:x>/<int:y>.pbf")
@needs("read a site file")
def base(revision: str, z: int, x: int, y: int) -> Response:  # noqa: ARG001 - only in the address
    """Return one tile of the base map; its address changes with the map, so it may be kept."""
    body = base_tile(parts().folder, z, x, y)
    answer = Response(body or b"", mimetype=VECTOR, status=200 if body else 204)
    answer.headers["Cache-Control"] = "private, max-age=86400"
    return answer


@pages.get("/systems/<int:z>/<int:x>/<int:y>.pbf")
@needs("see the county map")
def systems(z: int, x: int, y: int) -> AnyResponse:
    """Return one tile of systems as the viewer may see them."""
    asked = filter_of(request.args)
    if z > CLOSEST or x >= 1 << z or y >= 1 << z:
        abort(404)
    with reading() as session:
        made = overdue_tile(session, viewer(), (z, x, y), asked, today(zone_of(session, viewer())))
    body = made if isinstance(made, bytes) else encode("systems", points_of(made), z, x, y)
    answer = Response(body, mimetype=VECTOR, status=200 if body else 204)
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.set_etag(hashlib.sha256(body).hexdigest()[:32])
    return answer.make_conditional(request)


def points_of(rows: TileRows) -> list[tuple[LonLat, dict[str, Any]]]:
    """Return what a tile shows as points; names are those that PostGIS gives its own tiles."""
    squares: list[tuple[LonLat, dict[str, Any]]] = [
        (
            one.centre,
            {"n": one.n, "late": one.n_overdue, "level": hatch_level(one.n, one.n_overdue)},
        )
        for one in rows.squares
    ]
    return squares + [(one.lon_lat, _told(one)) for one in rows.marks if one.lon_lat is not None]


def _told(mark: DueMark) -> dict[str, Any]:
    told = {
        "site_id": mark.site_id,
        "site": mark.site,
        "kind": mark.kind,
        "task": mark.task,
        "due_on": mark.due_on.isoformat() if mark.due_on else None,
        "days_overdue": mark.days_overdue,
        "overdue": mark.overdue,
        "share_passed": mark.share_passed,
        "in_hazard_area": mark.in_hazard_area,
        "below_bfe": mark.below_bfe,
    }
    return {name: value for name, value in told.items() if value is not None}


@pages.get("/lids.svg")
def lids() -> Response:
    """Return every lid mark in one picture."""
    answer = Response(lid_sheet().svg, mimetype="image/svg+xml")
    answer.headers["Cache-Control"] = AN_HOUR
    return answer


@pages.get("/lids.json")
def lid_places() -> Response:
    """Return where each mark lies in the picture, and the hatched squares as pictures."""
    answer = jsonify(_lid_places())
    answer.headers["Cache-Control"] = AN_HOUR
    return answer


@cache
def _lid_places() -> dict[str, Any]:
    sheet = lid_sheet()
    return {
        "cell": sheet.cell,
        "width": sheet.width,
        "height": sheet.height,
        "places": sheet.places,
        "squares": square_sprite(),
    }
