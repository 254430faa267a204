"""Bars of shares, each with its figures in words beside it: a plot that needs no colour."""

from collections.abc import Sequence
from typing import NamedTuple

from web.draw.ink import EDGE, FAINT, INK, SHADE, SOFT
from web.draw.svg import element, fitted, line, picture, words

_LABEL, _FIGURES, _ROW, _TOP = 190.0, 150.0, 26.0, 30.0
WIDTH = 640.0


class Bar(NamedTuple):
    """One bar; ``share`` of 0 to 1, ``said`` are its figures in words."""

    label: str
    share: float
    said: str
    is_now: bool = False


def share_bars(bars: Sequence[Bar], title: str, ident: str) -> str:
    """Return bars below each other on one scale, which ends at a round share above the longest.

    Parameters
    ----------
    bars
        In the order of drawing; ``is_now`` sets one off by an outline and a bold label.
    title, ident
        What is drawn, and the start of the ids inside.
    """
    top = scale_end(max((one.share for one in bars), default=0.0))
    width = WIDTH - _LABEL - _FIGURES
    height = _TOP + _ROW * len(bars) + 22
    parts = [words(0, 15, fitted(title, 13, WIDTH), 13, font_weight="bold")]
    for step in range(5):
        x = _LABEL + width * step / 4
        parts.append(line(x, _TOP - 4, x, height - 20, stroke=FAINT, stroke_width=0.8))
        named = f"{100 * top * step / 4:g} %"
        parts.append(words(x, height - 5, named, 11, text_anchor="middle", fill=SOFT))
    for row, one in enumerate(bars):
        y = _TOP + _ROW * row
        weight = "bold" if one.is_now else None
        label = fitted(one.label, 12, _LABEL - 10)
        parts.append(words(_LABEL - 8, y + 14, label, 12, text_anchor="end", font_weight=weight))
        long = width * one.share / top
        edge = 2.0 if one.is_now else 0.8
        parts.append(
            element(
                "rect",
                x=_LABEL,
                y=y + 2,
                width=long,
                height=16,
                fill=SHADE,
                stroke=INK,
                stroke_width=edge,
            )
            if long
            else line(_LABEL, y + 2, _LABEL, y + 18, stroke=EDGE)
        )
        parts.append(words(_LABEL + width + 8, y + 14, one.said, 12))
    told = "; ".join(f"{one.label}: {one.said}" for one in bars) or "Nothing to show."
    return picture(ident, title, told, (0, 0, WIDTH, height), *parts)


def scale_end(most: float) -> float:
    """Return the share at which the scale ends: 4, 10, 20, 40, 60, 80 or 100 %."""
    return next((end for end in (0.04, 0.1, 0.2, 0.4, 0.6, 0.8) if most <= end), 1.0)
