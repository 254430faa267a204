"""The Site file: everything kept about a site, with where each number comes from."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from flask import Blueprint, render_template

from registry.privacy import may
from registry.records.visits import Reading
from registry.services.see_site import SiteFile, see_site
from web import present
from web.access import needs, viewer
from web.context import reading, today
from web.draw.dial_parts import dial_parts, dial_table
from web.draw.lid_mark import lid_mark
from web.draw.pace_dial import Corner, pace_dial
from web.draw.reading_plot import PlotPoint, PlotRow, plot_table, reading_plot
from web.zone_words import zone_words

pages = Blueprint("site_file", __name__, url_prefix="/sites")


@dataclass(frozen=True, slots=True)
class Series:
    """All numbers of one kind that were read at a site: a plot and its table."""

    title: str
    plot: str
    rows: tuple[PlotRow, ...]


@pages.get("/<int:site_id>")
@needs("read a site file")
def show(site_id: int) -> str:
    """Show the file of one site."""
    with reading() as session:
        file = see_site(session, viewer(), site_id)
    on = today(file.jurisdiction.time_zone)
    parts = dial_parts(file.parts)
    return render_template(
        "site_file.html",
        file=file,
        site=file.site,
        mark=_mark(file, on),
        dial=pace_dial(parts, Corner(file.site.corner_note), legend=False),
        dial_rows=dial_table(parts),
        zone=zone_words(file.fact.zone, file.fact.subtype) if file.fact else "",
        series=series_of(file.readings, labels_of(file)),
        today=on,
        may_read_gate=may(viewer(), "read a gate sheet"),
        present=present,
    )


def _mark(file: SiteFile, on: date) -> str:
    shares = [
        (on - one.counted_from).days / max((one.due_on - one.counted_from).days, 1)
        for one in file.obligations
        if one.due_on is not None and one.counted_from is not None
    ]
    fact = file.fact
    return lid_mark(
        max(shares, default=None),
        fact.in_hazard_area if fact else None,
        fact.below_bfe if fact else None,
        size=64,
        label=f"Site {file.site.key}",
    )


def labels_of(file: SiteFile) -> dict[int, str]:
    """Return what each component is called, by its id."""
    return {one.component.id: one.label for one in file.parts}


def series_of(readings: tuple[Reading, ...], labels: dict[int, str]) -> list[Series]:
    """Return one series for each kind of reading, component and unit, the longest first."""
    superseded = {one.supersedes for one in readings if one.supersedes}
    grouped: dict[tuple[str, int | None, str], list[PlotPoint]] = defaultdict(list)
    for one in readings:
        if one.value is not None:
            grouped[one.kind, one.component_id, one.unit].append(
                PlotPoint(one.read_on, one.value, one.id in superseded, one.note)
            )
    found = []
    for number, ((kind, part, unit), points) in enumerate(
        sorted(grouped.items(), key=lambda item: (-len(item[1]), item[0][0], str(item[0][1])))
    ):
        title = f"{kind}, {labels[part]}" if part in labels else kind
        plot = reading_plot(points, unit, title, ident=f"plot-{number}")
        found.append(Series(title, plot, plot_table(points, unit)))
    return found
