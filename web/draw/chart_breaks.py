"""Where a day that was changed by hand does not hold: a zigzag through the stop, and words."""

from collections.abc import Iterator, Sequence

from registry.records.day import Route
from web.draw.chart_lines import BAR, Line
from web.draw.ink import PAPER, RUST
from web.draw.labels import Labels, Rect
from web.draw.svg import element, fitted, words, words_width

_SIZE = 11.5
_WORDS_PX = 190.0
"""How wide the words at a zigzag may be."""


def breaks_of(route: Route) -> tuple[str, ...]:
    """Return what a route breaks, stop by stop, in words."""
    at_stops = (
        f"{stop.site or stop.place}: {words}" for stop in route.stops for words in stop.broken
    )
    return (*at_stops, *route.broken)


def draw_breaks(drawn: Line) -> str:
    """Return a zigzag through every stop, and the end of a route, at which a limit gives way."""
    bars = [drawn.bar(level) for level in drawn.levels if level.stop.broken]
    at = [(bar.x + bar.width / 2, bar.y + BAR / 2) for bar in bars]
    if drawn.route.broken:
        at.append((drawn.axes.x(drawn.route.returns), drawn.end_y))
    return "".join(_zigzag(x, y) for x, y in at)


def _zigzag(x: float, y: float) -> str:
    """Return the sign with which drawings are broken off: here, a limit that is."""
    path = f"M{x:.1f},{y - 13:.1f} v7 l-6,4 12,5 -6,4 v7"
    under = element("path", d=path, fill="none", stroke=PAPER, stroke_width=6)
    return under + element("path", d=path, fill="none", stroke=RUST, stroke_width=2.4)


def break_words(lines: Sequence[Line], labels: Labels) -> str:
    """Return the words beside the zigzags, as far as there is room."""
    parts: list[str] = []
    for one in lines:
        at = [(one.bar(level), level.stop.broken) for level in one.levels if level.stop.broken]
        if one.route.broken:
            end = one.axes.x(one.route.returns)
            at.append((Rect(end - 2, one.end_y - 4, 4, 7), one.route.broken))
        for bar, broken in at:
            labels.take(Rect(bar.x + bar.width / 2 - 7, bar.y - 9, 14, 26))
            text = fitted(broken[0].partition(": ")[0], _SIZE, _WORDS_PX)
            place = labels.place(_beside(bar, words_width(text, _SIZE)))
            if place is not None:
                parts.append(
                    words(
                        place.x + 1,
                        place.y + 10,
                        text,
                        _SIZE,
                        halo=1,
                        fill=RUST,
                        font_weight="bold",
                    )
                )
    return "".join(parts)


def _beside(bar: Rect, width: float) -> Iterator[Rect]:
    """Yield places for the words at a zigzag: below, above, further off."""
    middle = bar.x + bar.width / 2
    for lift in (0.0, 13.0, 26.0, 39.0):
        for x in (middle - width / 2, middle + 9, middle - 9 - width):
            yield Rect(x, bar.y + bar.height + 11 + lift, width, 13)
            yield Rect(x, bar.y - 25 - lift, width, 13)
