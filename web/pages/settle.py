"""Visits that were recorded twice: what the records say, and settling it field by field."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.services.settle_visit import ACT, settle, visits_twice
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.forms import number_in

pages = Blueprint("settle", __name__, url_prefix="/sites")


@pages.get("/<int:site_id>/conflicts")
@needs(ACT)
def show(site_id: int) -> str:
    """Show the visits of a site that were recorded twice."""
    with reading() as session:
        zone = zone_of(session, viewer())
        found = visits_twice(session, viewer(), today(zone), site_id)
    return render_template(
        "conflicts.html", site_id=site_id, found=found, zone=zone, present=present
    )


@pages.post("/<int:site_id>/conflicts")
@needs(ACT)
def keep(site_id: int) -> AnyResponse:  # noqa: ARG001 - the records say which site
    """Keep what was chosen and show its report."""
    chosen = {
        name.removeprefix("of:"): number
        for name, value in request.form.items()
        if name.startswith("of:") and (number := number_in(value)) is not None
    }
    ids = request.form.getlist("record")
    with writing() as session:
        visit_id = settle(session, viewer(), ids, chosen, parts().now(), today)
    flash("Settled. Both records are kept; this one holds.")
    return redirect(url_for("record.report", visit_id=visit_id))
