"""What changed on a technician's own route, as a small JSON, and that it was seen."""

from flask import Blueprint, Response, jsonify, request

from registry.errors import RangeError
from registry.services.own_route import ACT, note_seen, own_route_change
from web.access import needs, viewer
from web.context import parts, reading, writing
from web.forms import date_in, number_in

pages = Blueprint("own_route", __name__, url_prefix="/day")


@pages.get("/<on>/own-route.json")
@needs(ACT)
def change(on: str) -> Response:
    """Return the number of the plan in force and what it changed since another one."""
    since = number_in(request.args.get("since", "")) or 0
    with reading() as session:
        found = own_route_change(session, viewer(), date_in(on), since)
    return jsonify(found.as_json())


@pages.post("/<on>/seen")
@needs(ACT)
def seen(on: str) -> tuple[Response, int]:
    """Note that a version of the plan was seen."""
    sent = request.get_json(silent=True)
    number = sent.get("number") if isinstance(sent, dict) else None
    if isinstance(number, bool) or not isinstance(number, int):
        raise RangeError("Send a JSON object with “number”, the number of the plan.")
    with writing() as session:
        note_seen(session, viewer(), date_in(on), number, parts().now())
    return jsonify(number=number), 200
