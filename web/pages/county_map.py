"""The County map: overdue systems as lid marks, and the same as a list."""

from urllib.parse import urlencode

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.records.due_rows import DueMark
from registry.records.filter_text import filter_of, texts_of
from registry.services.base_map import base_map
from registry.services.overdue_known import site_known
from registry.services.overdue_map import OverdueView, see_overdue
from registry.services.saved_views import forget_view, save_view
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.draw.grid_square import grid_square
from web.draw.lid_mark import lid_mark
from web.filter_choices import filter_choices
from web.forms import after_in

pages = Blueprint("county_map", __name__, url_prefix="/county")


@pages.get("/")
@needs("see the county map")
def show() -> str:
    """Show the map and one page of the list."""
    which = filter_of(request.args)
    after = after_in(request.args, "due", "system")
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        view = see_overdue(session, viewer(), on_date, which, after)
    base = base_map(parts().folder)
    kept = texts_of(which)
    return render_template(
        "county_map.html",
        view=view,
        rows=[(one, _mark(one)) for one in view.marks],
        legend=_legend(),
        tiles_url=_tiles_url(kept),
        credit=base.credit if base else "",
        asked=kept,
        choices=filter_choices(view, kept),
        town_url=lambda one: _town_url(kept, one.jurisdiction_id, one.name),
        next_url=_next_url(view, kept),
        is_first=after is None,
        present=present,
    )


@pages.get("/sites/<int:site_id>")
@needs("see the county map")
def known(site_id: int) -> str:
    """Show what is known of the systems of one site, as a page or for the map's box."""
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        one = site_known(session, viewer(), site_id, on_date)
    page = "county_known_box.html" if request.args.get("part") == "box" else "county_known.html"
    return render_template(page, one=one, on_date=on_date, present=present)


@pages.post("/views")
@needs("see the county map")
def save() -> AnyResponse:
    """Keep the filters of the form under a name."""
    asked = texts_of(filter_of(request.form))
    with writing() as session:
        name = save_view(session, viewer(), request.form.get("name", ""), asked)
    flash(f"The view “{name}” is kept.")
    return redirect(url_for("county_map.show", **asked))  # type: ignore[arg-type]  # url_for takes any values


@pages.post("/views/<int:view_id>/forget")
@needs("see the county map")
def forget(view_id: int) -> AnyResponse:
    """Forget a view of one's own."""
    with writing() as session:
        forget_view(session, viewer(), view_id)
    flash("The view is forgotten.")
    return redirect(url_for("county_map.show"))


def _town_url(kept: dict[str, str], jurisdiction_id: int, town: str) -> str:
    place = {"place": str(jurisdiction_id), "town": town}
    return url_for("county_map.show", **(kept | place))  # type: ignore[arg-type]  # url_for takes any values


def _next_url(view: OverdueView, kept: dict[str, str]) -> str:
    if view.after is None:
        return ""
    due, system_id = view.after
    return url_for("county_map.show", **kept, due=due.isoformat(), system=system_id)  # type: ignore[arg-type]  # url_for takes any values


def _tiles_url(kept: dict[str, str]) -> str:
    """Return the address of the map's tiles with the same filters; MapLibre fills the braces."""
    return "/tiles/systems/{z}/{x}/{y}.pbf?" + urlencode({"late": "0"} | kept)


def _mark(one: DueMark) -> str:
    return lid_mark(
        one.share_passed,
        one.in_hazard_area,
        one.below_bfe,
        size=36,
        ident=f"mark-{one.system_id}",
        label=f"Site {one.site}",
    )


def _legend() -> list[tuple[str, str]]:
    drawn = (
        (0.33, False, False, "a third of the interval has passed"),
        (0.92, False, False, "due soon"),
        (1.25, False, False, "a quarter of an interval overdue"),
        (1.9, False, False, "long overdue"),
        (1.25, True, False, "in a special flood hazard area"),
        (1.25, True, True, "with equipment below the base flood elevation"),
    )
    marks = [
        (lid_mark(share, wave, bar, size=36, ident=f"legend-{number}"), said)
        for number, (share, wave, bar, said) in enumerate(drawn)
    ]
    square = grid_square(40, 12, 44, "legend-square")
    return [*marks, (square, "many systems in one square of the map, seen from afar")]
