"""Overdue systems as a stand-alone map with the list below."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from registry.exports.day_map import table
from registry.exports.standalone_map import add_base, add_points, as_page, paper_map
from registry.records.due_rows import DueMark
from registry.report.day_text import long_date
from registry.report.ink import INK, PAPER, WATER

MOST_ROWS = 500
"""Longest overdue systems that the list names; the map shows all."""
MOST_LIDS = 1500
"""A browser draws so many lids with ease; more systems are plain rings."""

LID = """(feature, latlng) => {
  const told = feature.properties;
  const ring = (radius, kind, share) => `<circle r="${radius}" class="${kind}" pathLength="1"
    transform="rotate(-90)" stroke-dasharray="${share} 1"></circle>`;
  const late = Math.max(0, told.share - 1);
  const drawn = '<circle r="8.6" class="cover"></circle>'
    + ring(6.6, 'passed', Math.min(told.share, 1))
    + (late ? ring(11, 'late', Math.min(Math.max(late, 0.04), 1)) : '')
    + '<path class="bolts" d="M-2.4,-2.4h0M2.4,-2.4h0M2.4,2.4h0M-2.4,2.4h0"></path>'
    + (told.low ? '<path class="bar" d="M-10,0H10"></path>' : '')
    + (told.wet ? '<path class="wave" d="M-8,13.4q2,-2.8 4,0t4,0t4,0t4,0"></path>' : '');
  const icon = L.divIcon({className: '', iconSize: [30, 30],
    html: '<svg class="lid" width="30" height="30" viewBox="-15 -15 30 30" aria-hidden="true">'
      + `${drawn}</svg>`});
  return L.marker(latlng, {icon, keyboard: false, riseOnHover: true, zIndexOffset: told.days})
    .bindPopup(told.said);
}"""
"""A riser lid from above: the ring closes as the interval passes, a second arc grows past it."""

RING = f"""(feature, latlng) => {{
  const told = feature.properties;
  return L.circleMarker(latlng, {{radius: 3 + Math.min(4, 3 * Math.max(0, told.share - 1)),
    color: told.wet ? '{WATER}' : '{INK}', weight: 1.5,
    fillColor: told.low ? '{INK}' : '{PAPER}', fillOpacity: 1}}).bindPopup(told.said);
}}"""

LID_NOTE = (
    "A lid’s outer arc grows past the due date, one full turn for one more interval. A wave: in a "
    "special flood hazard area. A bar: equipment below the base flood elevation."
)
RING_NOTE = (
    "A ring in blue lies in a special flood hazard area; a full one has equipment below the base "
    "flood elevation; the larger, the longer overdue."
)


def overdue_map(
    marks: Sequence[DueMark],
    on_date: date,
    tasks: Mapping[str, str],
    credit: str,
    base: Mapping[str, Any] | None = None,
) -> str:
    """Return one HTML page with overdue systems."""
    points = [
        (one.lon_lat, _told(one, tasks))
        for one in sorted(marks, key=lambda one: one.share_passed or 0)
        if one.lon_lat is not None
    ]
    few = len(points) <= MOST_LIDS
    made = paper_map([place for place, _ in points], credit)
    add_base(made, base)
    add_points(made, points, LID if few else RING)
    many = "1 overdue system" if len(marks) == 1 else f"{len(marks):,} overdue systems"
    note = f"<p>{LID_NOTE if few else RING_NOTE} Not a flood determination.</p>"
    return as_page(made, f"{many}, {long_date(on_date)}", note + _list(marks, tasks))


def _told(one: DueMark, tasks: Mapping[str, str]) -> dict[str, Any]:
    late = f", {one.days_overdue:,} days past due" if one.days_overdue else ""
    due = one.due_on.isoformat() if one.due_on else "unknown"
    return {
        "said": f"{one.site}: {one.kind}. {tasks.get(one.task, one.task)}, due {due}{late}",
        "share": round(one.share_passed or 1.0, 2),
        "days": one.days_overdue or 0,
        "wet": bool(one.in_hazard_area),
        "low": bool(one.below_bfe),
    }


def _list(marks: Sequence[DueMark], tasks: Mapping[str, str]) -> str:
    heads = ("Site", "System", "Task", "Due", "Days past due", "Flood hazard area")
    flood = {True: "yes", False: "no", None: "unknown"}
    rows = [
        (
            one.site,
            one.kind,
            tasks.get(one.task, one.task),
            one.due_on.isoformat() if one.due_on else "",
            "" if one.days_overdue is None else str(one.days_overdue),
            flood[one.in_hazard_area],
        )
        for one in marks[:MOST_ROWS]
    ]
    more = len(marks) - MOST_ROWS
    rest = f"<p>{more:,} more are on the map and in the table files.</p>" if more > 0 else ""
    return table(heads, rows) + rest
