"""The time–distance chart of a day, after the railway diagrams of the 19th century.

E. J. Marey, "La méthode graphique", 2nd ed., Paris 1885, prints the train diagram of Paris–Lyon
that all later ones follow (from memory).
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from registry.records.day import Day, Route
from registry.report.ink import HANDS, PEN, Hand
from web.draw.chart_axes import Axes, Span, from_yard, grid, span_of
from web.draw.chart_breaks import break_words, breaks_of, draw_breaks
from web.draw.chart_lines import Level, Line, draw_line, draw_pins, draw_ticks
from web.draw.ink import INK, SOFT, WATER
from web.draw.labels import Labels, Rect
from web.draw.svg import Attribute, element, fitted, line, picture, words, words_width
from web.present import clock, count, duration, weekday_day

LINES_A_PANEL = len(HANDS)
"""More lines can't be told apart without colour: the next ones get a chart of their own."""
_LEFT, _RIGHT, _FOOT, _KEY_ROW, _KEY_COLUMN, _SIZE = 66.0, 30.0, 98.0, 36.0, 200.0, 11.5
_LEGEND = (
    "Slope: driving. Bar: work on site; thin level: waiting. Gap: lunch. Bracket: hours the owner "
    "opens. Pin: held. Drop: water."
)


@dataclass(frozen=True, slots=True)
class Band:
    """Hours in which something stands in the way: a closed road, or high water."""

    start: datetime
    end: datetime
    label: str
    kind: Literal["closure", "high water"] = "high water"


def time_distance_charts(
    day: Day,
    zone: str,
    bands: Sequence[Band] = (),
    width: float = 1040,
    plot_height: float = 300,
    ident: str = "chart",
    only: Collection[int] | None = None,
    span: Span | None = None,
) -> tuple[str, ...]:
    """Return the pictures of a day: one, or one for each four technicians, all on the same axes.

    Parameters
    ----------
    day
        The day's routes.
    zone
        The county's time zone, by its IANA name.
    bands
        Closures and high water.
    width
        Width of each picture. [px]
    plot_height
        Height of the part between the axes. [px]
    ident
        Start of the ids inside; the panel's number follows.
    only
        Numbers of the panels that are drawn, from 0; the others are left empty. None = all.
    span
        What the axes span. None = as little as holds all routes.

    Returns
    -------
    tuple[str, ...]
        One SVG per panel; a single one that says so where there is no route.
    """
    busy = [route for route in day.routes if route.stops]
    idle = [route for route in day.routes if not route.stops]
    if not busy:
        return (_empty(day, width, f"{ident}-1"),)
    span = span or span_of(busy, zone)
    panels = [busy[at : at + LINES_A_PANEL] for at in range(0, len(busy), LINES_A_PANEL)]
    drawn: list[str] = []
    for number, routes in enumerate(panels, 1):
        if only is not None and number - 1 not in only:
            drawn.append("")
            continue
        shown = [*routes, *idle] if number == len(panels) else routes
        top = 20 + _KEY_ROW * -(-len(shown) // _key_columns(width)) + 12
        foot = "yard" if from_yard(busy) else "start"
        bottom = top + plot_height
        axes = Axes(
            _LEFT, width - _RIGHT, top, bottom, span.first, span.last, span.most_s, zone, foot
        )
        part = f" ({number} of {len(panels)})" if len(panels) > 1 else ""
        title = f"Time–distance chart, {weekday_day(day.on_date)}{part}"
        drawn.append(_panel(f"{ident}-{number}", title, shown, axes, bands))
    return tuple(drawn)


def _panel(
    ident: str, title: str, routes: Sequence[Route], axes: Axes, bands: Sequence[Band]
) -> str:
    busy = [route for route in routes if route.stops]
    lines = [Line(route, axes, place, len(busy)) for place, route in enumerate(busy)]
    width = axes.right + _RIGHT
    frame = Rect(axes.left, axes.top - 10, axes.right - axes.left, axes.bottom - axes.top + 12)
    labels = Labels(frame, [stroke for one in lines for stroke in one.strokes()])
    for one in lines:
        for bar in one.bars():
            labels.take(bar)
    band_parts = _bands(bands, axes, labels)
    breaks = break_words(lines, labels)
    times, left_out = _times(lines, labels)
    note = "Height: driving time from the yard."
    if not from_yard(busy):
        note = "Height: driving time from where each route starts."
    if any(band.kind == "closure" for band in bands):
        note += " Grey band: a road is closed."
    if left_out:
        note += f" {count(left_out, 'arrival time')} had no room and stand in the table only."
    return picture(
        ident,
        title,
        description(busy, axes.zone),
        (0, 0, width, axes.bottom + _FOOT),
        _key(routes, width, axes.zone),
        band_parts,
        grid(axes),
        *(draw_line(one) for one in lines),
        *(draw_pins(one) for one in lines),
        *(draw_ticks(one) for one in lines),
        *(draw_breaks(one) for one in lines),
        breaks,
        times,
        _ends(lines, axes),
        words(_LEFT, axes.bottom + 70, _legend(busy), 11, fill=SOFT),
        words(_LEFT, axes.bottom + 86, note, 11, fill=SOFT),
        class_="picture time-distance",
    )


def _legend(routes: Sequence[Route]) -> str:
    """Return what the signs mean; tick and zigzag are named where there is one."""
    done = any(stop.done for route in routes for stop in route.stops)
    said = _LEGEND + (" Tick: done." if done else "")
    return said + (" Zigzag: a limit gives way." if any(map(breaks_of, routes)) else "")


def description(routes: Sequence[Route], zone: str) -> str:
    """Return what the lines say, one sentence a technician."""
    said = [
        f"{route.technician} leaves{_how_far(route)} at {clock(route.leaves, zone)}, makes "
        f"{count(len(route.visits), 'visit')} and returns at {clock(route.returns, zone)}."
        for route in routes
    ]
    said += [
        f"{stop.site or stop.place}: {stop.done}."
        for route in routes
        for stop in route.stops
        if stop.done
    ]
    said += [f"{route.technician}: {words}." for route in routes for words in breaks_of(route)]
    return " ".join([*said, "The table beside it holds every stop."])


def _how_far(route: Route) -> str:
    return f", {duration(route.start_yard_s)} from the yard," if route.start_yard_s else ""


def _key_columns(width: float) -> int:
    return max(int((width - _LEFT) / _KEY_COLUMN), 1)


def _key(routes: Sequence[Route], width: float, zone: str) -> str:
    """Return who is who: a sample of the line, initials, name, visits, end of the day."""
    parts: list[str] = []
    columns = _key_columns(width)
    room = (width - _LEFT) / columns
    place = 0
    for at, route in enumerate(routes):
        x, y = _LEFT + (at % columns) * room, 20 + (at // columns) * _KEY_ROW
        visits = "no visits"
        if route.stops:
            parts.append(_sample(x, y, HANDS[place % len(HANDS)]))
            place += 1
            visits = f"{count(len(route.visits), 'visit')}, back {clock(route.returns, zone)}"
        initials = 1.25 * words_width(route.initials, 13) + 8
        name = fitted(route.technician, 12, room - 46 - initials)
        parts.append(words(x + 36, y, route.initials, 13, font_weight="bold"))
        parts.append(words(x + 36 + initials, y, name, 12))
        parts.append(words(x + 36, y + 15, visits, 11.5, fill=SOFT))
    return "".join(parts)


def _sample(x: float, y: float, hand: Hand) -> str:
    """Return a short piece of a line with its bar."""
    pen: dict[str, Attribute] = {"stroke": hand.ink, "stroke_width": PEN}
    dash: dict[str, Attribute] = {"stroke_dasharray": hand.dash, "stroke_linecap": hand.cap}
    ends = (line(x + a, y - 4, x + b, y - 4, **pen, **dash) for a, b in ((0, 9), (19, 28)))
    box = element(
        "rect",
        x=x + 9,
        y=y - 7.5,
        width=10,
        height=7,
        fill=hand.bar,
        stroke=hand.ink,
        stroke_width=1.4,
    )
    return "".join((*ends, box))


def _bands(bands: Sequence[Band], axes: Axes, labels: Labels) -> str:
    parts: list[str] = []
    for band in bands:
        left, right = axes.inside(axes.x(band.start)), axes.inside(axes.x(band.end))
        if left >= right:
            continue
        ink = WATER if band.kind == "high water" else INK
        height = axes.bottom - axes.top
        parts.append(
            element(
                "rect",
                x=left,
                y=axes.top,
                width=right - left,
                height=height,
                fill=ink,
                fill_opacity=0.12 if band.kind == "high water" else 0.07,
            )
        )
        parts.extend(
            line(edge, axes.top, edge, axes.bottom, stroke=ink, stroke_dasharray="3 3")
            for edge in (left, right)
            if axes.left < edge < axes.right
        )
        parts.append(_band_label(band.label, left, ink, axes, labels))
    return "".join(parts)


def _band_label(label: str, left: float, ink: str, axes: Axes, labels: Labels) -> str:
    text = fitted(label, _SIZE, axes.right - axes.left - 8)
    width = words_width(text, _SIZE)
    x = min(left + 5, axes.right - width)
    rows = (Rect(x, axes.top + 2 + 15 * row, width, 14) for row in range(6))
    place = labels.place(rows)
    if place is None:
        return ""
    return words(place.x, place.y + 11, text, _SIZE, fill=ink, font_style="italic", halo=1)


def _times(lines: Sequence[Line], labels: Labels) -> tuple[str, int]:
    """Return the arrival times beside the level parts, and how many found no room."""
    parts: list[str] = []
    left_out = 0
    for one in lines:
        for level in one.levels:
            if level.stop.kind == "lunch":
                parts.append(_lunch(one, level, labels))
            if level.stop.kind != "visit":
                continue
            text = clock(level.stop.arrives, one.axes.zone)
            place = labels.place(_around(one, level, words_width(text, _SIZE)))
            if place is None:
                left_out += 1
                continue
            parts.append(words(place.x + 1, place.y + 10, text, _SIZE, halo=1, fill=one.hand.ink))
    return "".join(parts), left_out


def _lunch(one: Line, level: Level, labels: Labels) -> str:
    """Return the word in the gap of the line, where it is wide enough for it."""
    start, end = one.axes.x(level.stop.starts), one.axes.x(level.stop.leaves)
    width = words_width("lunch", 10.5)
    if end - start < width:
        return ""
    place = labels.place([Rect((start + end - width) / 2, level.y - 6, width, 12)])
    return (
        words(place.x, place.y + 10, "lunch", 10.5, fill=SOFT, font_style="italic") if place else ""
    )


def _around(one: Line, level: Level, width: float) -> Iterator[Rect]:
    """Yield places for a label, the best first: above the start, then along, below, further off."""
    bar = one.bar(level)
    arrives = one.axes.x(level.stop.arrives)
    for lift in (0.0, 12.0, 24.0, 36.0):
        for x in (arrives - 2, bar.x + bar.width / 2 - width / 2, arrives - width):
            yield Rect(x, bar.y - 15 - lift, width, 13)
            yield Rect(x, bar.y + bar.height + 7 + lift, width, 13)


def _ends(lines: Sequence[Line], axes: Axes) -> str:
    """Return the initials under the axis, where each line leaves and where it comes home."""
    strip = Labels(Rect(0, axes.bottom + 3, axes.right + _RIGHT, 31))
    parts: list[str] = []
    for one in lines:
        text = one.route.initials
        width = words_width(text, 13) + 6
        for moment, y in ((one.route.leaves, one.start_y), (one.route.returns, one.end_y)):
            x = axes.x(moment)
            parts.append(element("circle", cx=x, cy=y, r=3, fill=one.hand.ink))
            place = strip.place(
                Rect(
                    x - width / 2 + side * shift * width / 2, axes.bottom + 4 + 15 * row, width, 14
                )
                for shift in range(9)
                for side in (1, -1)
                for row in (0, 1)
            )
            if place:
                parts.append(
                    words(
                        place.x + width / 2,
                        place.y + 12,
                        text,
                        13,
                        text_anchor="middle",
                        font_weight="bold",
                        fill=one.hand.ink,
                        halo=1,
                    )
                )
    return "".join(parts)


def _empty(day: Day, width: float, ident: str) -> str:
    said = f"No routes on {weekday_day(day.on_date)}."
    return picture(
        ident,
        f"Time–distance chart, {weekday_day(day.on_date)}",
        said,
        (0, 0, width, 120),
        line(_LEFT, 80, width - _RIGHT, 80, stroke=SOFT, stroke_dasharray="2 5"),
        words(_LEFT - 8, 84, "yard", 12, text_anchor="end", fill=SOFT),
        words(width / 2, 60, said, 15, text_anchor="middle"),
        class_="picture time-distance",
    )
