"""Plots of a network: head along its laterals, the pump's curve against the system's."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from web.draw.ink import EDGE, FAINT, INK, PAPER, RUST, SOFT, WATER
from web.draw.reading_plot import NO_LIMITS, value_ticks
from web.draw.svg import element, line, picture, words, words_width
from web.present import number

_LEFT, _TOP, _FOOT, _RIGHT = 38.0, 38.0, 44.0, 10.0
_LOOKS = (
    (WATER, None),
    (INK, "7 3"),
    (RUST, "2 3"),
    (SOFT, "10 3 2 3"),
    (EDGE, "4 2"),
)
"""Colour and dashes of the lines in turn; a line is told by its dashes and its name, too."""
_NAMED = 5
"""So many lines are named; more would hide each other."""


class Curve(NamedTuple):
    """A line of a plot, by rising x."""

    name: str
    x: Sequence[float]
    y: Sequence[float]


class Mark(NamedTuple):
    """One point that matters, with its words."""

    x: float
    y: float
    said: str


def curves_plot(
    curves: Sequence[Curve],
    title: str,
    said: str,
    axes: tuple[str, str],
    mark: Mark | None = None,
    ident: str = "curves",
    size: tuple[float, float] = (340, 270),
) -> str:
    """Return a plot of lines from zero, each with its own dashes and named below the title.

    Parameters
    ----------
    curves
        Lines; values that are not numbers are left out.
    title, said
        What is plotted, and what it shows, for people who don't see it.
    axes
        Words with units for across and upward.
    mark
        A point that matters, such as where pump and system meet.
    ident
        Start of the ids inside.
    size
        Width and height. [px]
    """
    width, height = size
    usable = [_finite(curve) for curve in curves]
    across = value_ticks([0.0, *(x for one in usable for x in one.x)], NO_LIMITS)
    upward = value_ticks([0.0, *(y for one in usable for y in one.y)], NO_LIMITS)
    rows = _legend_rows(usable, width)
    frame = _Frame(
        (across[0], across[-1], upward[0], upward[-1]), (width, height), _TOP + 18 * rows
    )
    body = "".join(
        (
            words(0, 15, title, 14, font_weight="bold"),
            _grid(frame, across, upward, axes),
            *(_curve(frame, one, number) for number, one in enumerate(usable)),
            _legend(usable, width),
            _mark(frame, mark) if mark else "",
        )
    )
    return picture(ident, title, said, (0, 0, width, height), body, class_="picture curves-plot")


class _Frame:
    """Where a pair of values lies."""

    def __init__(
        self, bounds: tuple[float, float, float, float], size: tuple[float, float], top: float
    ) -> None:
        self.bounds, self.top = bounds, top
        self.right, self.bottom = size[0] - _RIGHT, size[1] - _FOOT

    def x(self, value: float) -> float:
        """Return how far right a value lies."""
        low, high = self.bounds[:2]
        return _LEFT + (self.right - _LEFT) * (value - low) / (high - low)

    def y(self, value: float) -> float:
        """Return the height of a value."""
        low, high = self.bounds[2:]
        return self.bottom - (self.bottom - self.top) * (value - low) / (high - low)


def _finite(curve: Curve) -> Curve:
    pairs = [
        (x, y)
        for x, y in zip(curve.x, curve.y, strict=True)
        if math.isfinite(x) and math.isfinite(y)
    ]
    return Curve(curve.name, [x for x, _ in pairs], [y for _, y in pairs])


def _grid(
    frame: _Frame, across: Sequence[float], upward: Sequence[float], axes: tuple[str, str]
) -> str:
    out = [words(0, frame.top - 9, axes[1], 11, fill=SOFT)]
    for tick in upward:
        y = frame.y(tick)
        out.append(line(_LEFT, y, frame.right, y, stroke=FAINT, stroke_width=0.8))
        out.append(words(_LEFT - 6, y + 4, _tick(tick, upward), 11, text_anchor="end", fill=SOFT))
    for tick in across:
        x = frame.x(tick)
        out.append(line(x, frame.bottom, x, frame.bottom + 4, stroke=EDGE))
        said = _tick(tick, across)
        out.append(words(x, frame.bottom + 17, said, 11, text_anchor="middle", fill=SOFT))
    out.append(words(frame.right, frame.bottom + 34, axes[0], 11, text_anchor="end", fill=SOFT))
    out.append(line(_LEFT, frame.bottom, frame.right, frame.bottom, stroke=EDGE))
    return "".join(out)


def _tick(value: float, ticks: Sequence[float]) -> str:
    return number(value, 0 if all(float(tick).is_integer() for tick in ticks) else 1)


def _curve(frame: _Frame, curve: Curve, place: int) -> str:
    colour, dashes = _LOOKS[place % len(_LOOKS)]
    points = " ".join(
        f"{frame.x(x):.1f},{frame.y(y):.1f}" for x, y in zip(curve.x, curve.y, strict=True)
    )
    return element(
        "polyline",
        points=points,
        fill="none",
        stroke=colour,
        stroke_width=2,
        stroke_dasharray=dashes,
    )


def _places(curves: Sequence[Curve], width: float) -> list[tuple[float, int]]:
    """Return left edge and row of each name."""
    places, x, row = [], 0.0, 0
    for curve in curves[:_NAMED]:
        wide = 36 + words_width(curve.name, 12) + 12
        if x and x + wide > width:
            x, row = 0.0, row + 1
        places.append((x, row))
        x += wide
    return places


def _legend_rows(curves: Sequence[Curve], width: float) -> int:
    return _places(curves, width)[-1][1] + 1 if curves else 0


def _legend(curves: Sequence[Curve], width: float) -> str:
    out = []
    for place, (x, row) in enumerate(_places(curves, width)):
        colour, dashes = _LOOKS[place % len(_LOOKS)]
        y = 30 + 18 * row
        out.append(
            line(x, y - 4, x + 28, y - 4, stroke=colour, stroke_width=2, stroke_dasharray=dashes)
        )
        out.append(words(x + 34, y, curves[place].name, 12))
    return "".join(out)


def _mark(frame: _Frame, mark: Mark) -> str:
    """Return a point with its words under it, kept on the paper."""
    x, y = frame.x(mark.x), frame.y(mark.y)
    half = words_width(mark.said, 12) / 2
    middle = min(max(x, _LEFT + half), frame.right - half)
    ring = element("circle", cx=x, cy=y, r=5, fill=PAPER, stroke=INK, stroke_width=2)
    return ring + words(
        middle,
        min(y + 44, frame.bottom - 6),
        mark.said,
        12,
        text_anchor="middle",
        font_weight="bold",
        halo=1,
    )
