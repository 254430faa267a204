"""The County map: overdue systems as lid marks, and the same as a list."""

from urllib.parse import urlencode

from flask import Blueprint, render_template, request, url_for

from registry.records.due_rows import DueMark
from registry.records.systems import SystemKind
from registry.services.base_map import base_map
from registry.services.overdue_map import OverdueView, see_overdue
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today
from web.draw.grid_square import grid_square
from web.draw.lid_mark import lid_mark
from web.forms import after_in, filters_in

pages = Blueprint("county_map", __name__, url_prefix="/county")

LATE = (
    ("0", "any number of days"),
    ("30", "more than 30 days"),
    ("90", "more than 90 days"),
    ("365", "more than a year"),
)


@pages.get("/")
@needs("see the county map")
def show() -> str:
    """Show the map and one page of the list."""
    which = filters_in(request.args)
    after = after_in(request.args, "due", "system")
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        view = see_overdue(session, viewer(), on_date, which, after)
    base = base_map(parts().folder)
    kept = {
        name: request.args[name]
        for name in ("late", "kind", "zone", "place")
        if request.args.get(name)
    }
    return render_template(
        "county_map.html",
        view=view,
        rows=[(one, _mark(one)) for one in view.marks],
        legend=_legend(),
        tiles_url=_tiles_url(kept),
        credit=base.credit if base else "",
        asked=kept,
        late=LATE,
        kinds=[kind.value for kind in SystemKind],
        next_url=_next_url(view, kept),
        is_first=after is None,
        present=present,
    )


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
