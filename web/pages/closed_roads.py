"""Closed roads on the Day page: closing them by name, by drawing, from a file; opening them."""

import json
import tempfile
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import shapely
from flask import Blueprint, Response, flash, jsonify, redirect, request, url_for
from werkzeug.datastructures import FileStorage
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError
from registry.records.closures import Closure
from registry.records.roads import NamedStretch
from registry.services.closures import close_roads, lift_closure, list_closures
from registry.services.new_closure import (
    ClosureWords,
    closure_by_name,
    closure_drawn,
    closures_from_file,
)
from web.access import needs, viewer
from web.context import parts, reading, writing
from web.forms import date_in, number_in

pages = Blueprint("closed_roads", __name__, url_prefix="/day")

AGAIN = "Order the day again so that its routes keep to it."


@pages.get("/<on>/closed.geojson")
@needs("see the day")
def on_the_map(on: str) -> Response:
    """Return what is closed on a date, for the map of its page."""
    with reading() as session:
        closed = list_closures(session, viewer(), date_in(on))
    features = [
        {
            "type": "Feature",
            "geometry": json.loads(shapely.to_geojson(one.shape)),
            "properties": {"name": one.name, "when": one.when()},
        }
        for one in closed
    ]
    return jsonify(type="FeatureCollection", features=features)


@pages.post("/<on>/close")
@needs("close a road")
def close(on: str) -> AnyResponse:
    """Close a road from a date on."""
    on_date = date_in(on)
    wanted = _wanted(request.form, on_date)
    with writing() as session:
        made = close_roads(session, viewer(), wanted, parts().now())
    flash(f"Closed: {', '.join(one.name for one in made)}. {AGAIN}")
    return redirect(url_for("day.show_date", on=on_date, _anchor="closed-roads"))


@pages.post("/<on>/lift")
@needs("close a road")
def lift(on: str) -> AnyResponse:
    """Open a road again."""
    on_date = date_in(on)
    closure_id = number_in(request.form.get("closure", ""))
    if closure_id is None:
        raise RangeError("Choose a closure from the list.")
    with writing() as session:
        lifted = lift_closure(session, viewer(), closure_id, parts().now())
    flash(f"Open again: {lifted.name}. {AGAIN}")
    return redirect(url_for("day.show_date", on=on_date, _anchor="closed-roads"))


def _wanted(form: Mapping[str, str], on_date: date) -> list[Closure]:
    """Return the closures that a form asks for."""
    until = form.get("until", "")
    words = ClosureWords(
        name=form.get("name", ""),
        first_on=on_date,
        last_on=date_in(until) if until else None,
        hours=form.get("hours", ""),
        why=form.get("why", ""),
    )
    match form.get("kind"):
        case "road":
            stretch = NamedStretch(
                road=form.get("road", ""),
                begins=form.get("begins", "").strip(),
                ends=form.get("ends", "").strip(),
            )
            with parts().roads() as roads:
                return [closure_by_name(roads, stretch, words)]
        case "drawn":
            area = form.get("shape") == "area"
            return [closure_drawn(form.get("points", ""), area=area, words=words)]
        case "file" if (given := request.files.get("file")) is not None and given.filename:
            return _from_file(given, words)
        case _:
            raise RangeError("Name a road, draw a closure or choose a file.")


def _from_file(given: FileStorage, words: ClosureWords) -> list[Closure]:
    """Read an uploaded file; the size of a request is bounded by the app."""
    name = Path((given.filename or "").replace("\\", "/")).name[:100]
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "closures.geojson"
        given.save(kept)
        return closures_from_file(kept, words, name)
