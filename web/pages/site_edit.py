"""Changing a site's file from its page, and taking single changes back."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import ConflictError, RangeError
from registry.services.add_part import add_part, part_to_add
from registry.services.edit_site import ACT, EditedRow, EditOutcome, edit_row, row_to_edit
from registry.services.file_fields import label_of
from registry.services.undo_change import undo_change
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.edit_rows import edit_groups, has_position

pages = Blueprint("site_edit", __name__, url_prefix="/sites")


@pages.get("/<int:site_id>/edit/<kind>/<int:row_id>")
@needs(ACT)
def show(site_id: int, kind: str, row_id: int) -> str:
    """Show a row of a site's file as a form."""
    with reading() as session:
        row = row_to_edit(session, viewer(), site_id, kind, row_id)
    return _page(row)


@pages.post("/<int:site_id>/edit/<kind>/<int:row_id>")
@needs(ACT)
def keep(site_id: int, kind: str, row_id: int) -> AnyResponse | tuple[str, int]:
    """Keep what was changed, or say on the form what is wrong."""
    given = _named("is:")
    try:
        with writing() as session:
            done = edit_row(
                session,
                viewer(),
                (site_id, kind, row_id),
                given,
                _named("was:"),
                parts().now(),
                today,
            )
    except RangeError as wrong:
        with reading() as session:
            row = row_to_edit(session, viewer(), site_id, kind, row_id)
        return _page(row, str(wrong).splitlines()), 422
    flash(_words(done))
    return redirect(url_for("site_file.show", site_id=site_id))


@pages.get("/<int:site_id>/add/<kind>/<int:row_id>")
@needs(ACT)
def new(site_id: int, kind: str, row_id: int) -> str:
    """Show the empty form of a new system, component (of system ``row_id``) or agreement."""
    with reading() as session:
        return _page(part_to_add(session, viewer(), site_id, kind, row_id))


@pages.post("/<int:site_id>/add/<kind>/<int:row_id>")
@needs(ACT)
def add(site_id: int, kind: str, row_id: int) -> AnyResponse | tuple[str, int]:
    """Add the part, or say on the form what is wrong."""
    try:
        with writing() as session:
            add_part(
                session, viewer(), (site_id, kind, row_id), _named("is:"), parts().now(), today
            )
    except RangeError as wrong:
        with reading() as session:
            row = part_to_add(session, viewer(), site_id, kind, row_id)
        return _page(row, str(wrong).splitlines()), 422
    flash(f"The {kind} is added. The history below can take it back.")
    return redirect(url_for("site_file.show", site_id=site_id))


@pages.post("/<int:site_id>/undo/<int:change_id>")
@needs(ACT)
def undo(site_id: int, change_id: int) -> AnyResponse | tuple[str, int]:
    """Take one change back, or ask whether to where the field changed again."""
    although = request.form.get("although") == "yes"
    try:
        with writing() as session:
            line = undo_change(
                session, viewer(), change_id, parts().now(), today, although=although
            )
    except ConflictError as wrong:
        page = render_template(
            "undo_confirm.html", site_id=site_id, change_id=change_id, text=str(wrong)
        )
        return page, 409
    flash(f"{label_of(line.field)} is set back; the history keeps both changes.")
    return redirect(url_for("site_file.show", site_id=line.site_id, _anchor="history-title"))


def _named(prefix: str) -> dict[str, str]:
    return {
        name.removeprefix(prefix): value
        for name, value in request.form.items()
        if name.startswith(prefix)
    }


def _page(row: EditedRow, complaints: list[str] | None = None) -> str:
    return render_template(
        "site_edit.html",
        row=row,
        site=row.site,
        title=row.title,
        has_map=has_position(row),
        groups=edit_groups(row, _named("is:") if complaints else {}, _named("was:")),
        complaints=complaints or [],
        at=row.at,
        present=present,
    )


def _words(done: EditOutcome) -> str:
    """Return in a sentence or two what became of an edit."""
    said = []
    if done.changed:
        said.append(f"Kept: {_labels(done.changed)}.")
    if done.proposed:
        said.append(f"Proposed to the office: {_labels(done.proposed)}.")
    if done.kept_beside:
        said.append(
            f"Somebody changed {_labels(done.kept_beside)} meanwhile. Both are kept; the office "
            "settles which holds."
        )
    return " ".join(said) or "Nothing was changed."


def _labels(names: tuple[str, ...]) -> str:
    return ", ".join(label_of(one).lower() for one in names)
