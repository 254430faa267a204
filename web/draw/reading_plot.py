"""A small plot of one kind of reading over the years, with its last value in words."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from web.draw.ink import EDGE, FAINT, INK, PAPER, SOFT, WATER
from web.draw.svg import element, fitted, line, picture, words, words_width
from web.present import quantity, short_day

_LEFT, _TOP, _FOOT, _RIGHT = 58.0, 30.0, 24.0, 104.0


class PlotPoint(NamedTuple):
    """One reading; ``superseded`` by a correction, which stands in the series as its own point."""

    on: date
    value: float
    superseded: bool = False
    note: str = ""


class Limits(NamedTuple):
    """The range in which a reading raises no question; None = no limit on that side."""

    low: float | None = None
    high: float | None = None


NO_LIMITS = Limits()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotRow:
    """One reading in words, for the table beside the plot."""

    day: str
    value: str
    change: str
    note: str
    superseded: bool
    outside: bool


def reading_plot(
    series: Sequence[PlotPoint],
    unit: str,
    title: str,
    limits: Limits = NO_LIMITS,
    ident: str = "plot",
    width: float = 360,
    height: float = 132,
) -> str:
    """Return the plot of a series.

    Parameters
    ----------
    series
        Readings in any order; values that are not numbers are left out.
    unit
        Unit of the values, by the glossary's name.
    title
        What is plotted.
    limits
        Range without question, drawn as broken lines.
    ident
        Start of the ids inside.
    width, height
        Size of the picture. [px]

    Returns
    -------
    str
        An SVG of its own; superseded readings are struck out, not joined and don't set the scale.
    """
    points = _usable(series)
    valid = [point for point in points if not point.superseded]
    head = words(0, 15, fitted(title, 13, width), 13, font_weight="bold")
    if not points:
        body = words(0, 52, "No reading yet.", 13, fill=SOFT)
        return _frame(ident, title, "No reading yet.", (width, 70), head + body)
    ticks = value_ticks([point.value for point in valid or points], limits)
    plot = _Plot(points, ticks, width - _RIGHT, height - _FOOT)
    body = "".join(
        (
            _axes(plot, unit),
            _limit_lines(plot, limits),
            _path(plot, valid),
            *(_dot(plot, point, point is valid[-1]) for point in valid),
            *(_cross(plot, point, unit) for point in points if point.superseded),
            _last(plot, valid[-1], unit, limits) if valid else "",
        )
    )
    return _frame(ident, title, plot_words(points, unit, limits), (width, height), head + body)


def plot_table(
    series: Sequence[PlotPoint], unit: str, limits: Limits = NO_LIMITS
) -> tuple[PlotRow, ...]:
    """Return the readings in words, the newest first, each with its change from the one before."""
    rows: list[PlotRow] = []
    before: float | None = None
    for point in _usable(series):
        change = ""
        if not point.superseded:
            change = _change(before, point.value)
            before = point.value
        rows.append(
            PlotRow(
                day=short_day(point.on),
                value=quantity(point.value, unit),
                change=change,
                note="; ".join(
                    filter(None, ("superseded" if point.superseded else "", point.note))
                ),
                superseded=point.superseded,
                outside=bool(outside_words(point.value, limits)),
            )
        )
    return tuple(reversed(rows))


def plot_words(points: Sequence[PlotPoint], unit: str, limits: Limits) -> str:
    """Return what the plot shows, in words."""
    valid = [point for point in points if not point.superseded]
    crossed = len(points) - len(valid)
    said = f" {crossed} superseded and crossed out." if crossed else ""
    if not valid:
        return f"All readings are superseded.{said}"
    last, outside = valid[-1], outside_words(valid[-1].value, limits)
    least, most = min(p.value for p in valid), max(p.value for p in valid)
    return (
        f"{len(valid)} readings from {short_day(valid[0].on)} to {short_day(last.on)}, between "
        f"{quantity(least, unit)} and {quantity(most, unit)}; the last is "
        f"{quantity(last.value, unit)}{f', {outside}' if outside else ''}.{said}"
    )


def outside_words(value: float, limits: Limits) -> str:
    """Return "under the limit" or "over the limit", empty where a value raises no question."""
    if limits.low is not None and value < limits.low:
        return "under the limit"
    if limits.high is not None and value > limits.high:
        return "over the limit"
    return ""


def value_ticks(values: Sequence[float], limits: Limits) -> list[float]:
    """Return two to five round values that hold all readings and the limits."""
    held = [*values, *(limit for limit in limits if limit is not None)]
    least, most = min(held), max(held)
    if least == most:
        room = abs(least) * 0.5 or 1.0
        least, most = least - room, most + room
        if min(held) >= 0:
            least = max(least, 0.0)
    rough = (most - least) / 3
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * n for n in (1, 2, 2.5, 5, 10) if power * n >= rough * (1 - 1e-9))
    first, last = math.floor(least / step + 1e-9), math.ceil(most / step - 1e-9)
    return [step * n for n in range(first, last + 1)]


def _usable(series: Sequence[PlotPoint]) -> list[PlotPoint]:
    """Return the points that are numbers by date; a correction comes after what it supersedes."""
    finite = (PlotPoint(*point) for point in series if math.isfinite(point[1]))
    return sorted(finite, key=lambda point: (point.on, not point.superseded))


class _Plot:
    """Where a day and a value lie."""

    def __init__(
        self, points: Sequence[PlotPoint], ticks: list[float], right: float, bottom: float
    ) -> None:
        self.ticks, self.right, self.bottom = ticks, right, bottom
        self.first, self.last = points[0].on, points[-1].on

    def x(self, on: date) -> float:
        """Return how far right a day lies."""
        whole = (self.last - self.first).days
        if whole == 0:
            return self.right
        return _LEFT + (self.right - _LEFT) * (on - self.first).days / whole

    def y(self, value: float) -> float:
        """Return the height of a value; one that lies off the scale stands at its edge."""
        low, high = self.ticks[0], self.ticks[-1]
        value = min(max(value, low), high)
        return self.bottom - (self.bottom - _TOP) * (value - low) / (high - low)


def _axes(plot: _Plot, unit: str) -> str:
    step = plot.ticks[1] - plot.ticks[0]
    decimals = max(-math.floor(math.log10(step) + 1e-9), 0)
    decimals += 1 if abs(step * 10**decimals - round(step * 10**decimals)) > 1e-6 else 0
    out: list[str] = []
    for at, tick in enumerate(plot.ticks):
        y = plot.y(tick)
        out.append(line(_LEFT, y, plot.right, y, stroke=FAINT, stroke_width=0.8))
        if at in (0, len(plot.ticks) - 1) or len(plot.ticks) <= 4:
            said = quantity(tick, "share") if unit == "share" else quantity(tick, "", decimals)
            out.append(words(_LEFT - 6, y + 4, said, 11, text_anchor="end", fill=SOFT))
    foot = plot.bottom + 17
    out.append(words(plot.right, foot, short_day(plot.last), 11, text_anchor="end", fill=SOFT))
    if plot.last != plot.first:
        out.append(words(_LEFT, foot, short_day(plot.first), 11, fill=SOFT))
    return "".join(out)


def _limit_lines(plot: _Plot, limits: Limits) -> str:
    return "".join(
        line(_LEFT, plot.y(limit), plot.right, plot.y(limit), stroke=EDGE, stroke_dasharray="6 3")
        for limit in limits
        if limit is not None
    )


def _path(plot: _Plot, valid: Sequence[PlotPoint]) -> str:
    if len(valid) < 2:
        return ""
    points = " ".join(f"{plot.x(p.on):.1f},{plot.y(p.value):.1f}" for p in valid)
    return element("polyline", points=points, fill="none", stroke=WATER, stroke_width=1.8)


def _dot(plot: _Plot, point: PlotPoint, is_last: bool) -> str:
    return element(
        "circle",
        cx=plot.x(point.on),
        cy=plot.y(point.value),
        r=4 if is_last else 2.6,
        fill=INK if is_last else PAPER,
        stroke=INK if is_last else WATER,
        stroke_width=1.6,
    )


def _cross(plot: _Plot, point: PlotPoint, unit: str) -> str:
    """Return a superseded reading: a cross, and its value struck out."""
    x, y = plot.x(point.on), plot.y(point.value)
    cross = f"M{x - 4:.1f},{y - 4:.1f} l8,8 m0,-8 l-8,8"
    said = quantity(point.value, unit)
    start, foot = x - 8, min(max(y + 4, _TOP + 11), plot.bottom - 2)
    middle = foot - 4
    return (
        element("path", d=cross, fill="none", stroke=SOFT, stroke_width=1.5)
        + words(start, foot, said, 11, fill=SOFT, text_anchor="end", halo=1)
        + line(start - words_width(said, 10), middle, start, middle, stroke=SOFT, stroke_width=1.2)
    )


def _last(plot: _Plot, point: PlotPoint, unit: str, limits: Limits) -> str:
    y = min(max(plot.y(point.value), _TOP + 8), plot.bottom - 6)
    x = plot.right + 10
    out = [words(x, y + 5, fitted(quantity(point.value, unit), 14, _RIGHT), 14, font_weight="bold")]
    outside = outside_words(point.value, limits)
    if outside:
        out.append(words(x, y + 20, outside, 11))
    return "".join(out)


def _change(before: float | None, value: float) -> str:
    if before is None:
        return ""
    if before == value:
        return "no change"
    if before == 0:
        return ""
    share = (value - before) / abs(before)
    sign = "+" if share > 0 else "−"
    return f"{sign}{abs(share):.0%}".replace("%", " %")


def _frame(ident: str, title: str, said: str, size: tuple[float, float], body: str) -> str:
    return picture(ident, title, said, (0, 0, *size), body, class_="picture reading-plot")
