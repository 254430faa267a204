"""Overdue systems as a stand-alone map with the list below."""

import html
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from registry.exports.standalone_map import INK, PAPER, WATER, add_base, as_page, paper_map
from registry.records.due_rows import DueMark

MOST_ROWS = 500
"""Longest overdue systems that the list names; the map shows all."""


def overdue_map(
    marks: Sequence[DueMark],
    on_date: date,
    tasks: Mapping[str, str],
    credit: str,
    base: Mapping[str, Any] | None = None,
) -> str:
    """Return one HTML page with overdue systems; a longer delay is a larger ring."""
    import folium

    placed = [one for one in marks if one.lon_lat is not None]
    lons = [one.lon_lat.lon for one in placed if one.lon_lat] or [0.0]
    lats = [one.lon_lat.lat for one in placed if one.lon_lat] or [0.0]
    made = paper_map((min(lons), min(lats), max(lons), max(lats)), credit)
    add_base(made, base)
    for one in placed:
        if one.lon_lat is None:
            continue
        folium.CircleMarker(
            (one.lon_lat.lat, one.lon_lat.lon),
            radius=4 + min(6.0, 3 * max(0.0, (one.share_passed or 1.0) - 1.0)),
            color=WATER if one.in_hazard_area else INK,
            weight=2.5,
            fill=True,
            fill_color=INK if one.below_bfe else PAPER,
            fill_opacity=1,
            tooltip=html.escape(_said(one, tasks)),
        ).add_to(made)
    return as_page(made, f"Overdue systems on {on_date:%d %B %Y}", _note(marks, on_date, tasks))


def _said(one: DueMark, tasks: Mapping[str, str]) -> str:
    late = f"{one.days_overdue} days past due" if one.days_overdue else ""
    return f"{one.site}: {one.kind}, {tasks.get(one.task, one.task)}, due {one.due_on}, {late}"


def _note(marks: Sequence[DueMark], on_date: date, tasks: Mapping[str, str]) -> str:
    head = ("Site", "System", "Task", "Due", "Days past due", "Flood hazard area")
    rows = "".join(
        "<tr>"
        + "".join(
            f"<td>{html.escape(str(cell))}</td>"
            for cell in (
                one.site,
                one.kind,
                tasks.get(one.task, one.task),
                one.due_on,
                one.days_overdue,
                {True: "yes", False: "no", None: "unknown"}[one.in_hazard_area],
            )
        )
        + "</tr>"
        for one in marks[:MOST_ROWS]
    )
    more = len(marks) - MOST_ROWS
    rest = f"<p>{more} more are on the map and in the table files.</p>" if more > 0 else ""
    return (
        f"<h1>{len(marks)} overdue systems on {on_date:%d %B %Y}</h1>"
        "<p>A ring in blue lies in a special flood hazard area; a full one has equipment below the "
        "base flood elevation; the larger, the longer overdue. Not a flood determination.</p>"
        f"<table><thead><tr>{''.join(f'<th>{one}</th>' for one in head)}</tr></thead>"
        f"<tbody>{rows}</tbody></table>{rest}"
    )
