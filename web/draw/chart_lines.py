"""One technician's line on a time–distance chart: slopes, levels, brackets, the lunch gap."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from registry.records.day import Route, Stop
from registry.report.ink import HANDS, PEN
from web.draw.chart_axes import Axes, heights_s
from web.draw.ink import INK, PAPER, SOFT, WATER
from web.draw.labels import Rect, Segment
from web.draw.svg import Attribute, element, line

BAR = 7.0
FILLS = ("fill", "disposal")
"""Stops that fill a tank or empty one."""
_NUDGE = 2.5
"""Lines are set apart by this much, so that two on the same road at the same hour are two. [px]"""


def map_hands() -> list[dict[str, Any]]:
    """Return how each hand draws, for a map: dashes there are counted in widths of the line."""
    return [
        {
            "ink": hand.ink,
            "bar": hand.bar,
            "cap": hand.cap,
            "dash": [round(float(one) / PEN, 2) for one in hand.dash.split()] if hand.dash else [],
        }
        for hand in HANDS
    ]


@dataclass(frozen=True, slots=True)
class Level:
    """The level part of a line: one stop, the height at which it is drawn, when it is reached.

    Lunch at a gate stands before the visit there: it is reached when the gate is, and the visit
    goes on when lunch ends. ``sets_off`` is when the slope to it begins, if later than the level
    before ends: whoever waits there for a road to open.
    """

    stop: Stop
    y: float
    reached: datetime
    sets_off: datetime | None = None


@dataclass(frozen=True, slots=True)
class Bracket:
    """A service window under a level part; an end that lies past the axes stays open."""

    stroke: Segment
    begins: bool
    ends: bool


class Line:
    """A route turned into places in the picture; the strokes are what labels keep clear of."""

    def __init__(self, route: Route, axes: Axes, place: int, places: int) -> None:
        self.route = route
        self.axes = axes
        self.hand = HANDS[place % len(HANDS)]
        self.nudge = _NUDGE * (place - (places - 1) / 2)
        heights = heights_s(route)
        self.start_y, self.end_y = self.y(heights[0]), self.y(heights[-1])
        self.levels = self._levels()

    def y(self, yard_s: float) -> float:
        """Return the height of a place on this line."""
        return self.axes.y(yard_s) + self.nudge

    def _levels(self) -> list[Level]:
        """Return the levels; lunch and filling without a place of their own stay at the last."""
        levels: list[Level] = []
        last_s = self.route.start_yard_s or 0.0
        stops = self.route.stops
        for stop, after in zip(stops, (*stops[1:], None), strict=True):
            if stop.kind == "visit" or stop.lon_lat is not None or stop.yard_s:
                last_s = stop.yard_s
            reached = stop.arrives
            if stop.kind == "lunch" and after is not None:
                reached = min(reached, after.arrives)
            elif levels and levels[-1].stop.kind == "lunch":
                reached = max(reached, levels[-1].stop.leaves)
            levels.append(Level(stop, self.y(last_s), reached, stop.sets_off))
        return levels

    def strokes(self) -> list[Segment]:
        """Return every slope and level of the line."""
        here = (self.axes.x(self.route.leaves), self.start_y)
        found: list[Segment] = []
        for level in self.levels:
            if level.sets_off is not None:
                found.append(Segment(*here, self.axes.x(level.sets_off), here[1]))
                here = (found[-1].x2, here[1])
            found.append(Segment(*here, self.axes.x(level.reached), level.y))
            here = (self.axes.x(level.stop.leaves), level.y)
            found.append(Segment(found[-1].x2, level.y, *here))
        if self.route.sets_off_back is not None:
            found.append(Segment(*here, self.axes.x(self.route.sets_off_back), here[1]))
            here = (found[-1].x2, here[1])
        found.append(Segment(*here, self.axes.x(self.route.returns), self.end_y))
        return found + [bracket.stroke for level in self.levels if (bracket := self.bracket(level))]

    def bars(self) -> list[Rect]:
        """Return the rectangles of work, pins, ticks and drops, which no label may cover."""
        visits = [level for level in self.levels if level.stop.kind == "visit"]
        pins = [self.pin(level) for level in visits if level.stop.held]
        ticks = [self.tick(level) for level in visits if level.stop.done]
        fills = [level for level in self.levels if level.stop.kind in FILLS]
        drops = [Rect(self.axes.x(one.stop.arrives) - 2, one.y - 10, 12, 18) for one in fills]
        return [self.bar(level) for level in visits] + pins + ticks + drops

    def pin(self, level: Level) -> Rect:
        """Return the rectangle of the pin that holds a visit."""
        bar = self.bar(level)
        return Rect(bar.x + bar.width / 2 - 4, bar.y - 10, 8, 10)

    def tick(self, level: Level) -> Rect:
        """Return the rectangle of the tick over a visit that is done."""
        bar = self.bar(level)
        return Rect(bar.x + bar.width / 2 - 8, level.y - 11, 18, 18)

    def bracket(self, level: Level) -> "Bracket | None":
        """Return the hours of the owner under a level part, cut off at the axes.

        None where the owner opens at any time that the axes show: that says nothing.
        """
        if level.stop.window is None:
            return None
        opens, closes = (self.axes.x(moment) for moment in level.stop.window)
        left, right = self.axes.inside(opens), self.axes.inside(closes)
        if left >= right or (left > opens and right < closes):
            return None
        y = level.y + BAR / 2 + 5
        return Bracket(Segment(left, y, right, y), left == opens, right == closes)

    def bar(self, level: Level) -> Rect:
        """Return the rectangle of the work at one stop."""
        start, end = self.axes.x(level.stop.starts), self.axes.x(level.stop.leaves)
        return Rect(start, level.y - BAR / 2, max(end - start, 2.0), BAR)


def draw_line(drawn: Line) -> str:
    """Return the strokes of one technician: the line first, then the levels on it."""
    pen: dict[str, Attribute] = {
        "fill": "none",
        "stroke": drawn.hand.ink,
        "stroke_width": PEN,
        "stroke_dasharray": drawn.hand.dash,
        "stroke_linecap": drawn.hand.cap,
        "stroke_linejoin": "round",
    }
    runs = _runs(drawn)
    lines = [element("polyline", points=" ".join(run), **pen) for run in runs if len(run) > 1]
    return element(
        "g",
        *lines,
        *(_level(drawn, level) for level in drawn.levels),
        class_="line",
        data_technician=str(drawn.route.technician_id),
    )


def _runs(drawn: Line) -> list[list[str]]:
    """Return the points of the line in pieces that end where lunch begins."""

    def point(x: float, y: float) -> str:
        return f"{x:.1f},{y:.1f}"

    axes, y = drawn.axes, drawn.start_y
    runs = [[point(axes.x(drawn.route.leaves), y)]]
    for level in drawn.levels:
        if level.sets_off is not None:
            runs[-1].append(point(axes.x(level.sets_off), y))
        y = level.y
        runs[-1].append(point(axes.x(level.reached), level.y))
        if level.stop.kind == "lunch":
            if level.stop.starts > level.reached:
                runs[-1].append(point(axes.x(level.stop.starts), level.y))
            runs.append([])
        runs[-1].append(point(axes.x(level.stop.leaves), level.y))
    if drawn.route.sets_off_back is not None:
        runs[-1].append(point(axes.x(drawn.route.sets_off_back), y))
    runs[-1].append(point(axes.x(drawn.route.returns), drawn.end_y))
    return runs


def _level(drawn: Line, level: Level) -> str:
    stop = level.stop
    if stop.kind == "lunch":
        return ""
    if stop.kind in FILLS:
        drop = _drop(drawn.axes.x(stop.arrives) + 4, level.y)
        return element("g", drop, class_="stop", data_stop=f"fill:{stop.visit_id}")
    bar = drawn.bar(level)
    parts = [
        _bracket(drawn.bracket(level)),
        element(
            "rect",
            x=bar.x,
            y=bar.y,
            width=bar.width,
            height=bar.height,
            fill=drawn.hand.bar,
            stroke=drawn.hand.ink,
            stroke_width=1.4,
        ),
    ]
    name = stop.visit_id or str(stop.site_id)
    return element("g", *parts, class_="stop", data_site=str(stop.site_id), data_stop=name)


def draw_pins(drawn: Line) -> str:
    """Return the pins of the visits that the dispatcher holds; they lie over all lines."""
    parts: list[str] = []
    for level in drawn.levels:
        if level.stop.kind == "visit" and level.stop.held:
            pin = drawn.pin(level)
            x = pin.x + pin.width / 2
            parts.append(line(x, pin.y + pin.height + BAR, x, pin.y + 4, stroke_width=1.6))
            parts.append(
                element(
                    "circle", cx=x, cy=pin.y + 4, r=3.4, fill=PAPER, stroke=INK, stroke_width=1.6
                )
            )
    return "".join(parts)


def draw_ticks(drawn: Line) -> str:
    """Return a tick over every visit that is done; they lie over all lines."""
    parts: list[str] = []
    for level in drawn.levels:
        if level.stop.done:
            bar = drawn.bar(level)
            path = f"M{bar.x + bar.width / 2 - 6:.1f},{level.y - 1:.1f} l4.5,5.5 8,-13"
            for ink, width in ((PAPER, 6), (INK, 2.6)):
                parts.append(element("path", d=path, fill="none", stroke=ink, stroke_width=width))
    return element("g", *parts, class_="ticks") if parts else ""


def _bracket(bracket: Bracket | None) -> str:
    if bracket is None:
        return ""
    left, y, right, _ = bracket.stroke
    path = f"M{left:.1f},{y:.1f} H{right:.1f}"
    path += f" M{left:.1f},{y:.1f} v-4.5" if bracket.begins else ""
    path += f" M{right:.1f},{y:.1f} v-4.5" if bracket.ends else ""
    return element("path", d=path, fill="none", stroke=SOFT, stroke_width=1)


def _drop(x: float, y: float) -> str:
    """Return a drop of water: the truck's tank is filled here."""
    return element(
        "path",
        d=f"M{x:.1f},{y - 9:.1f} c3.4,5 5.2,6.8 5.2,10 a5.2,5.2 0 0 1 -10.4,0 "
        "c0,-3.2 1.8,-5 5.2,-10 z",
        fill=PAPER,
        stroke=WATER,
        stroke_width=1.8,
    )
