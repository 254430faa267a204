"""Moving in: places and matches to decide on, and imports to take back."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError
from registry.records.places import LonLat
from registry.services.after_import import after_import
from registry.services.base_map import base_map
from registry.services.decide_matches import (
    decide_new,
    decide_same,
    decide_sure,
    match_to_decide,
    matches_to_decide,
)
from registry.services.locate_sites import ACT, refuse_offers, take_offer
from registry.services.places_to_decide import place_to_decide, places_to_decide
from registry.services.undo_import import listed_imports, undo_import, undo_plan
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.forms import number_in

if TYPE_CHECKING:
    from registry.store import Session

pages = Blueprint("moving_in", __name__, url_prefix="/moving-in")

LISTED = 100
"""Rows of each list on the page."""


@pages.get("/")
@needs(ACT)
def show() -> str:
    """Show what is to be decided, and the imports."""
    with reading() as session:
        to_locate = places_to_decide(session, viewer())
        rows, n_rows = matches_to_decide(session, viewer(), limit=LISTED)
        runs = listed_imports(session, viewer())
        zone = zone_of(session, viewer())
    offered = [one for one in to_locate if one.offers]
    return render_template(
        "moving_in.html",
        offered=offered[:LISTED],
        n_offered=len(offered),
        unknown=[one for one in to_locate if not one.offers][:LISTED],
        n_unknown=len(to_locate) - len(offered),
        rows=rows,
        n_rows=n_rows,
        runs=runs,
        zone=zone,
        present=present,
    )


@pages.get("/places/<int:site_id>")
@needs(ACT)
def place(site_id: int) -> str:
    """Show where a site without a position may be."""
    with reading() as session:
        one = place_to_decide(session, viewer(), site_id)
    base = base_map(parts().folder)
    spots = [
        {"number": number, "lon": each.place.place.lon, "lat": each.place.place.lat}
        for number, each in enumerate(one.offers, 1)
    ]
    return render_template(
        "moving_in_place.html",
        one=one,
        spots=spots,
        credit=base.credit if base else "",
        present=present,
    )


@pages.post("/places/<int:site_id>")
@needs(ACT)
def decide_place(site_id: int) -> AnyResponse:
    """Place a site at one of its places, or note that it is at none."""
    chosen = request.form.get("place", "")
    with writing() as session:
        if chosen == "none":
            refuse_offers(session, viewer(), site_id)
            flash("Noted: the site is at none of these places.")
        else:
            taken = take_offer(session, viewer(), site_id, _place(chosen), parts().now())
            _work_out(session, [site_id])
            flash(f"The site is placed: {taken.place.words}.")
        left = [one for one in places_to_decide(session, viewer()) if one.offers]
    if left:
        return redirect(url_for("moving_in.place", site_id=left[0].site_id))
    return redirect(url_for("moving_in.show"))


@pages.get("/rows/<int:foreign_id>")
@needs(ACT)
def row(foreign_id: int) -> str:
    """Show a row of another source beside the sites that it may be."""
    with reading() as session:
        one = match_to_decide(session, viewer(), foreign_id)
    return render_template("moving_in_row.html", one=one, present=present)


@pages.post("/rows/<int:foreign_id>")
@needs(ACT)
def decide_row(foreign_id: int) -> AnyResponse:
    """Note which site a row is and take what was chosen of it."""
    form = request.form
    with writing() as session:
        if form.get("site") == "new":
            touched = [decide_new(session, viewer(), foreign_id, parts().now())]
            flash("A new site was made of the row.")
        else:
            site_id = number_in(form.get("site", ""))
            if site_id is None or form.get("take") not in {"all", "none", "chosen"}:
                raise RangeError("Choose which site the row is, and what of it is taken.")
            fields = {"all": None, "none": []}.get(form["take"], form.getlist("field"))
            count = decide_same(session, viewer(), foreign_id, site_id, fields, parts().now())
            touched = [site_id] if count else []
            flash(f"Noted. {present.count(count, 'field')} taken from the row.")
        _work_out(session, touched)
        left, _ = matches_to_decide(session, viewer(), limit=1)
    if left:
        return redirect(url_for("moving_in.row", foreign_id=left[0].row.id))
    return redirect(url_for("moving_in.show"))


@pages.post("/rows/sure")
@needs(ACT)
def decide_rows() -> AnyResponse:
    """Decide all rows about which there is no doubt."""
    if request.form.get("take") not in {"all", "none"}:
        raise RangeError("Say what of the rows is taken: all or nothing.")
    with writing() as session:
        count, touched = decide_sure(
            session, viewer(), parts().now(), takes_all=request.form["take"] == "all"
        )
        _work_out(session, touched)
    flash(f"{present.count(count, 'row')} decided, {present.count(len(touched), 'site')} changed.")
    return redirect(url_for("moving_in.show"))


@pages.get("/imports/<int:run_id>")
@needs(ACT)
def undoing(run_id: int) -> str:
    """Show what taking an import back would do."""
    with reading() as session:
        plan = undo_plan(session, viewer(), run_id)
    return render_template("moving_in_undo.html", plan=plan, present=present)


@pages.post("/imports/<int:run_id>")
@needs(ACT)
def undo(run_id: int) -> AnyResponse:
    """Take an import back."""
    with writing() as session:
        done = undo_import(session, viewer(), run_id, parts().now())
        _work_out(session, done.touched)
    flash(
        f"Import {run_id} is taken back: {present.count(done.n_rows, 'added row')} and "
        f"{present.count(done.n_fields, 'changed field')}. {done.n_kept} stayed."
    )
    return redirect(url_for("moving_in.show"))


def _work_out(session: "Session", site_ids: Sequence[int]) -> None:
    """Work out again what hangs on sites that were changed."""
    on_date = today(zone_of(session, viewer()))
    after_import(session, parts().now(), on_date, site_ids)


def _place(chosen: str) -> LonLat:
    try:
        lon, lat = (float(one) for one in chosen.split(","))
    except ValueError as wrong:
        raise RangeError("Choose one of the places.") from wrong
    return LonLat(lon, lat)
