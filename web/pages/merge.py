"""Records that may be one site twice, side by side; merging them by hand, and taking it back."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.services.likely_pairs import likely_pairs, say_apart
from registry.services.merge_sites import merge_sites, undo_merge
from registry.services.see_merge import ACT, see_merge
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.forms import number_in

pages = Blueprint("merge", __name__, url_prefix="/sites")

LISTED = 100
"""Pairs on the page."""


@pages.get("/pairs")
@needs(ACT)
def pairs() -> str:
    """List the records that may be one site twice."""
    with reading() as session:
        found = likely_pairs(session, viewer())
    return render_template(
        "merge_pairs.html", pairs=found[:LISTED], n_pairs=len(found), present=present
    )


@pages.post("/pairs")
@needs(ACT)
def apart() -> AnyResponse:
    """Note that two records are two sites."""
    one, other = (number_in(request.form.get(name, "")) or 0 for name in ("first", "then"))
    with writing() as session:
        say_apart(session, viewer(), one, other, parts().now())
    flash("Noted: these are two sites. They are not listed again.")
    return redirect(url_for("merge.pairs"))


@pages.get("/<int:site_id>/merge/<int:other_id>")
@needs(ACT)
def show(site_id: int, other_id: int) -> str:
    """Show two records side by side, with a choice for each field in which they differ."""
    with reading() as session:
        view = see_merge(session, viewer(), site_id, other_id, _same(request.args))
    return render_template("merge.html", view=view, present=present)


@pages.post("/<int:site_id>/merge/<int:other_id>")
@needs(ACT)
def keep(site_id: int, other_id: int) -> AnyResponse:
    """Merge the other record into the site as it was chosen."""
    chosen = {
        name.removeprefix("of:"): value
        for name, value in request.form.items()
        if name.startswith("of:")
    }
    with writing() as session:
        merge_sites(
            session,
            viewer(),
            (site_id, other_id),
            chosen,
            _same(request.form),
            parts().now(),
            today,
            seen=request.form.get("seen", "-"),
        )
    flash("The two records are one. Nothing is gone: the merge can be taken back below.")
    return redirect(url_for("site_file.show", site_id=site_id))


@pages.post("/<int:site_id>/unmerge/<int:merge_id>")
@needs(ACT)
def undo(site_id: int, merge_id: int) -> AnyResponse:
    """Take a merge back."""
    with writing() as session:
        done = undo_merge(session, viewer(), merge_id, parts().now(), today)
    stays = f" Changed since, so it stays: {', '.join(done.stayed)}." if done.stayed else ""
    flash(f"{done.kept.key} and {done.other.key} are two records again.{stays}")
    return redirect(url_for("site_file.show", site_id=site_id))


def _same(given: "dict[str, str]") -> dict[int, int] | None:
    """Return which systems are one: ``same:ID`` = the id of the system that holds."""
    named = {name: value for name, value in given.items() if name.startswith("same:")}
    if not named:
        return None
    pairs = {number_in(name.removeprefix("same:")): number_in(to) for name, to in named.items()}
    return {one: to for one, to in pairs.items() if one is not None and to is not None}
