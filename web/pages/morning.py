"""Noting the calls that are made before a day begins."""

from flask import Blueprint, flash, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError
from registry.services.morning import note_call
from web.access import needs, viewer
from web.context import parts, writing
from web.forms import date_in, number_in

pages = Blueprint("morning", __name__, url_prefix="/day")


@pages.post("/<on>/call")
@needs("order the day")
def call(on: str) -> AnyResponse:
    """Note that an owner was called."""
    site_id = number_in(request.form.get("site_id", ""))
    if site_id is None:
        raise RangeError("Choose a site.")
    with writing() as session:
        agreed = request.form.get("agreed", "")
        note_call(session, viewer(), site_id, date_in(on), agreed, parts().now())
    flash("The call is noted.")
    return redirect(url_for("day.show_date", on=on, _anchor="morning"))
