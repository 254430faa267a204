"""The hatched square: many systems in one cell of the map, denser where more are overdue."""

import math

from registry.errors import RangeError
from web.draw.ink import INK, PAPER
from web.draw.svg import element, line, picture, words, words_width

HATCH_LEVELS = 6
"""Densities that can be told apart: none overdue, then five steps up to all."""

_SIDE = 64.0
_GAPS = (0.0, 20.0, 13.0, 8.6, 5.6, 3.4)
"""Distance between strokes at each level, measured along the edge; even steps for the eye."""


def hatch_level(n: int, n_overdue: int) -> int:
    """Return the density 0 to 5: 0 only where none is overdue, 5 only above four fifths."""
    if not 0 <= n_overdue <= n or n < 1:
        raise RangeError(
            f"{n_overdue} of {n} overdue: the part must lie within a whole above zero."
        )
    return math.ceil(n_overdue / n * (HATCH_LEVELS - 1))


def grid_square(n: int, n_overdue: int, size: float = 64, ident: str = "square") -> str:
    """Return the square of a cell with ``n`` systems, ``n_overdue`` of them past due.

    Raises
    ------
    RangeError
        If there is no system, or more overdue than there are.
    """
    said = f"{n_overdue:,} of {n:,} overdue"
    first, second = f"{n_overdue:,}", f"of {n:,}"
    big = min(16.0, 44 / words_width(first, 1))
    small = min(10.0, 46 / words_width(second, 1))
    plate = max(words_width(first, big), words_width(second, small), 38) + 4
    middle = _SIDE / 2
    body = (
        square_body(hatch_level(n, n_overdue)),
        element("rect", x=middle - plate / 2, y=13, width=plate, height=38, rx=2, fill=PAPER),
        words(middle, 28, first, big, text_anchor="middle", font_weight="bold"),
        words(middle, 38, second, small, text_anchor="middle"),
        words(middle, 48, "overdue", 9, text_anchor="middle"),
    )
    return picture(
        ident,
        said,
        f"Hatching grows denser with the share: {round(100 * n_overdue / n)} %.",
        (0, 0, _SIDE, _SIDE),
        *body,
        size=(size, size),
        class_="picture grid-square",
    )


def square_body(level: int) -> str:
    """Return the frame and the hatching of one density, in a box of 64 by 64."""
    edge = 1.5
    side = _SIDE - 2 * edge
    parts = [
        element(
            "rect",
            x=edge,
            y=edge,
            width=side,
            height=side,
            fill=PAPER,
            stroke=INK,
            stroke_width=1.6,
        )
    ]
    gap = _GAPS[level]
    at = gap / 2 if gap else 2 * side
    while at < 2 * side:
        start, end = max(0.0, at - side), min(at, side)
        parts.append(
            line(edge + start, edge + at - start, edge + end, edge + at - end, stroke_width=1.3)
        )
        at += gap
    return "".join(parts)


def square_sprite(size: float = 64) -> dict[str, str]:
    """Return the squares without words, ``square-0`` to ``square-5``: the map writes on them."""
    return {
        f"square-{level}": picture(
            f"square-{level}",
            "No system overdue" if level == 0 else f"Up to {20 * level} % overdue",
            "Hatching grows denser with the share of overdue systems.",
            (0, 0, _SIDE, _SIDE),
            square_body(level),
            element("rect", x=12, y=13, width=40, height=38, rx=2, fill=PAPER),
            size=(size, size),
        )
        for level in range(HATCH_LEVELS)
    }
