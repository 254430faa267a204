"""The Gate sheet: what a technician reads at a site, hazards first; on paper one or two pages."""

from flask import Blueprint, render_template

from registry.services.see_gate_sheet import see_gate_sheet
from registry.services.see_photos import see_photos
from web import present
from web.access import needs, viewer
from web.context import reading
from web.draw.dial_parts import dial_parts, dial_table
from web.draw.pace_dial import Corner, pace_dial
from web.forms import date_in
from web.photo_rows import photos_shown
from web.zone_words import zone_words

pages = Blueprint("gate_sheet", __name__, url_prefix="/gate")

LAST_PHOTOS = 4
"""So many help to find things; the site file has them all."""


@pages.get("/<int:site_id>/<on>")
@needs("read a gate sheet")
def show(site_id: int, on: str) -> str:
    """Show the gate sheet of a site for a date."""
    with reading() as session:
        view = see_gate_sheet(session, viewer(), site_id, date_in(on))
        seen = see_photos(session, viewer(), site_id)
    sheet = view.sheet
    parts = dial_parts(sheet.parts)
    site = sheet.site
    corner_b = None
    if site.corner_b_note or site.corner_b_distance_ft is not None:
        corner_b = Corner(site.corner_b_note, site.corner_b_bearing_deg, site.corner_b_distance_ft)
    return render_template(
        "gate_sheet.html",
        view=view,
        sheet=sheet,
        site=site,
        zone=view.jurisdiction.time_zone,
        photos=photos_shown(
            seen.photos[:LAST_PHOTOS],
            seen.findings,
            viewer(),
            view.jurisdiction.time_zone,
            {one.component.id: one.label for one in sheet.parts},
        ),
        dial=pace_dial(parts, Corner(site.corner_note), corner_b, legend=False),
        dial_rows=dial_table(parts),
        zone_words=zone_words(sheet.fact.zone, sheet.fact.subtype) if sheet.fact else "",
        present=present,
    )
