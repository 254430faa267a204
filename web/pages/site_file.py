"""The Site file: everything kept about a site, with where each number comes from."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from flask import Blueprint, render_template, request

from registry.due.lateness import share_passed
from registry.due.terms import visits_in_words
from registry.privacy import may
from registry.records.reading_kinds import ReadingKind
from registry.records.systems import Component
from registry.records.visits import Reading
from registry.services.add_part import kinds_to_add
from registry.services.change_owner import ACT as SELL
from registry.services.field_of_site import has_laterals
from registry.services.merge_sites import merged_here
from registry.services.see_merge import ACT as MERGE
from registry.services.see_photos import see_photos
from registry.services.see_site import HISTORY_LINES, SiteFile, see_site
from registry.services.settle_site import waits_at
from registry.services.settle_visit import ACT as SETTLE
from registry.services.undo_change import can_undo, kinds_to_edit
from web import present
from web.access import needs, viewer
from web.context import reading, today
from web.draw.dial_parts import dial_parts
from web.draw.lid_mark import lid_mark
from web.draw.pace_dial import Corner, pace_dial
from web.draw.reading_plot import (
    NO_LIMITS,
    Limits,
    PlotPoint,
    PlotRow,
    plot_table,
    reading_plot,
)
from web.level_estimate import level_form
from web.photo_rows import photos_shown
from web.report_words import state_words
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
        file = see_site(session, viewer(), site_id, today)
        seen = see_photos(session, viewer(), site_id)
        waits = may(viewer(), SETTLE) and waits_at(session, viewer(), site_id, today)
        merged = merged_here(session, viewer(), site_id)
    on = file.on_date
    parts = dial_parts(file.parts)
    return render_template(
        "site_file.html",
        file=file,
        site=file.site,
        mark=_mark(file, on),
        dial=pace_dial(parts, Corner(file.site.corner_note), legend=False),
        estimate=level_form(file.fact, request.args),
        zone=zone_words(file.fact.zone, file.fact.subtype) if file.fact else "",
        kinds=system_words(file),
        series=series_of(file.readings, labels_of(file), file.reading_kinds),
        labels=labels_of(file),
        photos=photos_shown(
            seen.photos, seen.findings, viewer(), file.jurisdiction.time_zone, labels_of(file)
        ),
        today=on,
        parts_more=parts_more,
        often=visits_in_words,
        state_words=state_words,
        most_lines=HISTORY_LINES,
        may_read_gate=may(viewer(), "read a gate sheet"),
        has_laterals=has_laterals(file.systems),
        edits=kinds_to_edit(viewer()),
        adds=kinds_to_add(viewer()),
        undoable={
            one.id
            for one in file.history
            if one.site_id == file.site.id and can_undo(viewer(), one)
        },
        waits=waits,
        may_merge=may(viewer(), MERGE),
        merged=merged,
        may_sell=may(viewer(), SELL),
        present=present,
    )


def _mark(file: SiteFile, on: date) -> str:
    """Return the mark that the county map shows for the site: its obligation that is late first."""
    dated = [
        (one.due_on + timedelta(days=one.grace_days), one) for one in file.obligations if one.due_on
    ]
    first = min(dated, key=lambda pair: (pair[0], pair[1].id), default=(on, None))[1]
    fact = file.fact
    return lid_mark(
        share_passed(first.counted_from, first.due_on, on) if first else None,
        fact.in_hazard_area if fact else None,
        fact.below_bfe if fact else None,
        size=64,
        label=f"Site {file.site.key}",
    )


def parts_more(part: Component) -> list[str]:
    """Return what else is known of a component, in words."""
    said = [
        _place_known(part),
        f"{part.count} ×" if part.count and part.length_ft is None else "",
        f"{part.count} × {present.feet(part.length_ft, 0)}"
        if part.count and part.length_ft
        else "",
        present.feet(part.length_ft, 0) if part.length_ft and not part.count else "",
        f"pipe {present.inches(part.pipe_in)}" if part.pipe_in else "",
        f"orifices {present.inches(part.orifice_in)}" if part.orifice_in else "",
        f"{present.feet(part.spacing_ft)} apart" if part.spacing_ft else "",
        f"{part.turns_open:g} turns open" if part.turns_open is not None else "",
        present.gallons(part.capacity_gal) if part.capacity_gal else "",
        f"{part.gal_per_in:g} gal/in" if part.gal_per_in else "",
    ]
    return [one for one in said if one] + [
        present.detail(name, value) for name, value in part.details.items()
    ]


def _place_known(part: Component) -> str:
    """Return how a component's own place is known: “by pointing, ± 10 m”."""
    if part.lon_lat is None or not part.position_source:
        return ""
    exact = f", ± {present.number(part.position_accuracy_m)} m" if part.position_accuracy_m else ""
    return f"position {part.position_source}{exact}"


def system_words(file: SiteFile) -> dict[int, str]:
    """Return what to call each system beside a task: nothing where a site has only one."""
    if len(file.systems) < 2:
        return {}
    return {one.id: f"{one.kind.value} {one.key}".strip() for one in file.systems}


def labels_of(file: SiteFile) -> dict[int, str]:
    """Return what each component is called, by its id."""
    return {one.component.id: one.label for one in file.parts}


def limits_of(kind: ReadingKind | None, unit: str) -> Limits:
    """Return the range in which a reading of a kind raises no question, if it is in its unit."""
    if kind is None or kind.usual is None or kind.unit != unit:
        return NO_LIMITS
    return Limits(*kind.usual)


def series_of(
    readings: tuple[Reading, ...], labels: dict[int, str], kinds: dict[str, ReadingKind]
) -> list[Series]:
    """Return one series for each kind of reading, component and unit, the longest first."""
    superseded = {one.supersedes for one in readings if one.supersedes}
    grouped: dict[tuple[str, int | None, str], list[PlotPoint]] = defaultdict(list)
    for one in readings:
        if one.value is not None:
            grouped[one.kind, one.component_id, one.unit].append(
                PlotPoint(
                    one.read_on,
                    one.value,
                    one.id in superseded,
                    "; ".join(filter(None, (one.answer, one.note))),
                )
            )
    found = []
    for number, ((kind, part, unit), points) in enumerate(
        sorted(grouped.items(), key=lambda item: (-len(item[1]), item[0][0], str(item[0][1])))
    ):
        title = f"{kind}, {labels[part]}" if part in labels else kind
        limits = limits_of(kinds.get(kind), unit)
        plot = reading_plot(points, unit, title, limits, ident=f"plot-{number}")
        found.append(Series(title, plot, plot_table(points, unit, limits)))
    return found
