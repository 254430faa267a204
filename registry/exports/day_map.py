"""A day's routes as a stand-alone map: lines along the roads, arrival times, and the list below."""

import html
from collections.abc import Mapping, Sequence
from itertools import cycle
from typing import Any

from registry.exports.standalone_map import DIGITS, add_base, add_points, as_page, paper_map
from registry.records.day import Day, Route, Stop, Waiting
from registry.records.places import LonLat
from registry.report.day_text import long_date
from registry.report.ink import HANDS, INK, PAPER, SOFT, WATER, Hand

TOLERANCE_DEG = 0.00004
"""About 4 m: a line on a screen loses nothing."""

DRAW = f"""(feature, latlng) => {{
  const told = feature.properties;
  const dot = L.circleMarker(latlng, told.waits
    ? {{radius: 3, weight: 1.2, color: '{SOFT}', fillColor: '{PAPER}', fillOpacity: 1}}
    : {{radius: 6, weight: 2, color: told.ink, fillColor: told.bar, fillOpacity: 1}});
  if (told.label) {{
    dot.bindTooltip(told.label, {{permanent: true, direction: 'right', offset: [7, 0],
      opacity: 1, className: told.ink === '{WATER}' ? 'label water' : 'label'}});
  }}
  return dot.bindPopup(told.said);
}}"""
"""How a stop or a waiting visit is drawn, in JavaScript."""


def day_map(day: Day, base: Mapping[str, Any] | None = None) -> str:
    """Return one HTML page with the day's routes; it holds no gate code, phone or note."""
    routes = [one for one in day.routes if one.stops]
    hands = dict(zip((one.technician_id for one in routes), cycle(HANDS), strict=False))
    shown = [place for route in routes for place in _places(route)]
    made = paper_map(
        shown or [one.lon_lat for one in day.waiting if one.lon_lat is not None], day.roads.credit
    )
    add_base(made, base)
    for route in routes:
        _line(made, route, hands[route.technician_id])
    waiting = [(one.lon_lat, _of_waiting(one)) for one in day.waiting if one.lon_lat is not None]
    stops = [
        (stop.lon_lat, _of_stop(stop, route, hands[route.technician_id]))
        for route in routes
        for stop in route.stops
        if stop.lon_lat is not None
    ]
    add_points(made, [*waiting, *stops], DRAW)
    return as_page(made, f"Routes of {long_date(day.on_date)}", _list(day))


def _line(made: Any, route: Route, hand: Hand) -> None:  # noqa: ANN401 - a folium map
    import folium

    folium.PolyLine(
        [(place.lat, place.lon) for place in _simplified(route.line) or _places(route)],
        color=hand.ink,
        weight=3,
        opacity=0.9,
        line_cap=hand.cap,
        dash_array=hand.dash,
        tooltip=html.escape(route.technician),
    ).add_to(made)


def _simplified(line: tuple[LonLat, ...]) -> list[LonLat]:
    import shapely

    if len(line) < 2:
        return []
    rough = shapely.simplify(shapely.LineString(line), TOLERANCE_DEG)
    return [LonLat(round(x, DIGITS), round(y, DIGITS)) for x, y in shapely.get_coordinates(rough)]


def _places(route: Route) -> list[LonLat]:
    inner = [stop.lon_lat for stop in route.stops if stop.lon_lat is not None]
    return [route.start, *inner, route.end]


def _of_stop(stop: Stop, route: Route, hand: Hand) -> dict[str, Any]:
    what = "fill the water tank" if stop.kind == "fill" else ", ".join(stop.tasks)
    where = ", ".join(filter(None, (stop.site, stop.place)))
    what = f": {what}" if what else ""
    return {
        "label": f"{stop.arrives:%H:%M} {route.initials}",
        "said": f"{where}{what}. {route.technician}, {stop.arrives:%H:%M} to {stop.leaves:%H:%M}",
        "ink": hand.ink,
        "bar": hand.bar,
    }


def _of_waiting(one: Waiting) -> dict[str, Any]:
    return {"waits": True, "said": f"{one.site} waits: {', '.join(one.tasks)}", "ink": INK}


def _list(day: Day) -> str:
    parts = ["<p class=quiet>Labels are arrival times; a small ring is a visit that waits.</p>"]
    parts += [_route(route) for route in day.routes]
    if day.waiting:
        parts.append(f"<h2>Waiting ({len(day.waiting)})</h2>")
        heads = ("Site", "Where", "Tasks", "Due", "Why it is on no route")
        parts.append(table(heads, [_waiting_row(one) for one in day.waiting]))
    parts.append(
        f"<p class=quiet>Travel times: {html.escape(day.roads.source)}. "
        f"{html.escape(day.roads.credit)}</p>"
        "<p>Never drive into water over a road. Local code and licensed practice come first.</p>"
    )
    return "".join(parts)


def _route(route: Route) -> str:
    name = f"<h2>{html.escape(route.technician)} ({html.escape(route.initials)})</h2>"
    if not route.stops:
        return f"{name}<p>No visit on this date.</p>"
    return (
        f"{name}<p>Leaves {route.leaves:%H:%M}, back {route.returns:%H:%M}, "
        f"{route.drive_s / 60:.0f} min of driving.</p>"
    ) + table(
        ("Arrive", "Start", "Leave", "Site", "Where", "Tasks"),
        [_stop_row(stop) for stop in route.stops],
    )


def _stop_row(stop: Stop) -> tuple[str, ...]:
    other = {"lunch": "lunch", "fill": "fill the water tank"}
    what = other.get(stop.kind) or ", ".join(stop.tasks)
    return (
        "" if stop.kind == "lunch" else f"{stop.arrives:%H:%M}",
        f"{stop.starts:%H:%M}",
        f"{stop.leaves:%H:%M}",
        stop.site,
        "" if stop.kind == "lunch" else stop.place,
        what + (" (held)" if stop.held else ""),
    )


def _waiting_row(one: Waiting) -> tuple[str, ...]:
    return (one.site, one.place, ", ".join(one.tasks), one.due_on.isoformat(), one.why)


def table(heads: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    """Return a table of texts, escaped; it scrolls in its own box where the screen is small."""
    head = "".join(f"<th scope=col>{html.escape(one)}</th>" for one in heads)
    body = "".join(
        "<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    return (
        '<div class="scroll" tabindex="0"><table>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )
