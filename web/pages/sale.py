"""A site is sold: the new owner on its file, and taking the whole change back."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError
from registry.services.change_owner import ACT, NewOwner, change_owner, sale_form, undo_sale
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.forms import date_in

pages = Blueprint("sale", __name__, url_prefix="/sites")

FIELDS = ("owner_name", "owner_phone", "owner_email", "owner_address")


@pages.get("/<int:site_id>/sale")
@needs(ACT)
def show(site_id: int) -> str:
    """Ask who bought a site, and whether the agreement goes on."""
    return _page(site_id)


@pages.post("/<int:site_id>/sale")
@needs(ACT)
def keep(site_id: int) -> AnyResponse | tuple[str, int]:
    """Put the new owner on the file."""
    given = {name: request.form.get(name, "").strip() for name in FIELDS}
    try:
        takes_over = _goes_on()
        with writing() as session:
            change_owner(
                session,
                viewer(),
                site_id,
                date_in(request.form.get("sold_on", "")),
                NewOwner(**given),
                parts().now(),
                today,
                takes_over=takes_over,
            )
    except RangeError as wrong:
        return _page(site_id, str(wrong).splitlines()), 422
    flash("The new owner is on the file. Ask for the gate, the hours and who lives there.")
    return redirect(url_for("site_file.show", site_id=site_id))


@pages.post("/<int:site_id>/sale/<int:change_id>/undo")
@needs(ACT)
def undo(site_id: int, change_id: int) -> AnyResponse:
    """Take a sale back."""
    with writing() as session:
        site_id = undo_sale(session, viewer(), change_id, parts().now(), today)
    flash("The sale is taken back: the file is as it was before. The history keeps both.")
    return redirect(url_for("site_file.show", site_id=site_id))


def _goes_on() -> bool:
    said = request.form.get("agreement")
    if said not in {"ends", "goes on"}:
        raise RangeError("Say whether the service agreement ends or is taken over.")
    return said == "goes on"


def _page(site_id: int, complaints: list[str] | None = None) -> str:
    with reading() as session:
        form = sale_form(session, viewer(), site_id, today)
    return render_template(
        "sale.html", form=form, complaints=complaints or [], given=request.form, present=present
    )
