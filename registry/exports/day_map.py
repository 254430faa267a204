"""A day's routes as a stand-alone map: lines along the roads, arrival times, and the list below."""

import html
from collections.abc import Mapping
from typing import Any

from registry.exports.standalone_map import INK, PAPER, add_base, as_page, paper_map
from registry.records.day import Day, Route, Stop
from registry.records.places import LonLat

DASHES = ("", "12 6", "3 6", "12 6 3 6", "18 4", "6 3")
"""Lines differ by dash and by initials, not by colour alone."""


def day_map(day: Day, base: Mapping[str, Any] | None = None) -> str:
    """Return one HTML page with the day's routes; it holds no gate code, phone or note."""
    import folium

    places = [place for route in day.routes for place in _places(route)]
    places += [one.lon_lat for one in day.waiting if one.lon_lat is not None]
    made = paper_map(_bounds(places), day.roads.credit)
    add_base(made, base)
    for number, route in enumerate(day.routes):
        line = route.line or tuple(_places(route))
        folium.PolyLine(
            [(place.lat, place.lon) for place in line],
            color=INK,
            weight=3,
            dash_array=DASHES[number % len(DASHES)] or None,
            tooltip=html.escape(route.technician),
        ).add_to(made)
        for stop in route.stops:
            _mark(made, route, stop)
    for one in day.waiting:
        if one.lon_lat is not None:
            folium.CircleMarker(
                (one.lon_lat.lat, one.lon_lat.lon),
                radius=4,
                color=INK,
                weight=1.5,
                fill=False,
                tooltip=html.escape(f"waiting: {one.site} — {one.why}"),
            ).add_to(made)
    return as_page(made, f"Routes of {day.on_date:%A %d %B %Y}", _note(day))


def _mark(made: Any, route: Route, stop: Stop) -> None:  # noqa: ANN401 - a folium map
    import folium

    if stop.lon_lat is None:
        return
    at = (stop.lon_lat.lat, stop.lon_lat.lon)
    said = (
        f"{route.initials} {stop.arrives:%H:%M} {stop.site or stop.place}: {', '.join(stop.tasks)}"
    )
    folium.CircleMarker(
        at,
        radius=6,
        color=INK,
        weight=2,
        fill=True,
        fill_color=INK if stop.kind == "visit" else PAPER,
        fill_opacity=1,
        tooltip=html.escape(said),
    ).add_to(made)
    label = f'<span class="label">{stop.arrives:%H:%M} {html.escape(route.initials)}</span>'
    folium.Marker(
        at, icon=folium.DivIcon(html=label, icon_size=(70, 16), icon_anchor=(-8, 8))
    ).add_to(made)


def _places(route: Route) -> list[LonLat]:
    inner = [stop.lon_lat for stop in route.stops if stop.lon_lat is not None]
    return [route.start, *inner, route.end]


def _bounds(places: list[LonLat]) -> tuple[float, float, float, float]:
    if not places:
        return (-0.1, -0.1, 0.1, 0.1)
    lons, lats = [one.lon for one in places], [one.lat for one in places]
    return (min(lons), min(lats), max(lons), max(lats))


def _note(day: Day) -> str:
    parts = [f"<h1>Routes of {day.on_date:%A %d %B %Y}</h1>"]
    for route in day.routes:
        parts.append(
            f"<h2>{html.escape(route.technician)} ({html.escape(route.initials)})</h2>"
            f"<p>Leaves {route.leaves:%H:%M}, back {route.returns:%H:%M}, "
            f"{route.drive_s / 60:.0f} min of driving.</p><table><thead><tr><th>Arrive</th>"
            "<th>Leave</th><th>Site</th><th>Where</th><th>Tasks</th></tr></thead><tbody>"
        )
        parts += [_row(stop) for stop in route.stops]
        parts.append("</tbody></table>")
    if day.waiting:
        items = "".join(
            f"<li>{html.escape(one.site)}: {html.escape(one.why)}</li>" for one in day.waiting
        )
        parts.append(f"<h2>Waiting</h2><ul>{items}</ul>")
    parts.append(
        f"<p>Travel times: {html.escape(day.roads.source)}. {html.escape(day.roads.credit)}</p>"
        "<p>Never drive into water over a road. Local code and licensed practice come first.</p>"
    )
    return "".join(parts)


def _row(stop: Stop) -> str:
    what = ", ".join(stop.tasks) if stop.kind == "visit" else stop.kind
    cells = (
        f"{stop.arrives:%H:%M}",
        f"{stop.leaves:%H:%M}",
        stop.site,
        stop.place,
        what + (" (held)" if stop.held else ""),
    )
    return "<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in cells) + "</tr>"
