"""What two people said differently, of a visit or of a site, and settling it field by field."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.services.settle_site import fields_twice, settle_fields
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
    """Show what waits to be settled at a site: fields of its file, and visits recorded twice."""
    with reading() as session:
        zone = zone_of(session, viewer())
        found = visits_twice(session, viewer(), today(zone), site_id)
        fields = fields_twice(session, viewer(), site_id, lambda at: present.moment_words(at, zone))
    return render_template(
        "conflicts.html",
        site_id=site_id,
        found=found,
        fields=fields,
        may_be_empty={one.differing.key for one in fields},
        zone=zone,
        present=present,
    )


@pages.post("/<int:site_id>/conflicts")
@needs(ACT)
def keep(site_id: int) -> AnyResponse:  # noqa: ARG001 - the records say which site
    """Keep what was chosen of a visit and show its report."""
    ids = request.form.getlist("record")
    with writing() as session:
        visit_id = settle(session, viewer(), ids, _chosen(), parts().now(), today)
    flash("Settled. Both records are kept; this one holds.")
    return redirect(url_for("record.report", visit_id=visit_id))


@pages.post("/<int:site_id>/conflicts/field")
@needs(ACT)
def keep_field(site_id: int) -> AnyResponse:
    """Let the chosen value of a field of the site's file hold."""
    shown = [one.replace("\r\n", "\n") for one in request.form.getlist("shown")]
    with writing() as session:
        settle_fields(session, viewer(), site_id, _chosen(), shown, parts().now(), today)
    flash("Settled. Every value is kept; the chosen one holds.")
    return redirect(url_for("settle.show", site_id=site_id))


def _chosen() -> dict[str, int]:
    return {
        name.removeprefix("of:"): number
        for name, value in request.form.items()
        if name.startswith("of:") and (number := number_in(value)) is not None
    }
