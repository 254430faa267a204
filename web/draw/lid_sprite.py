"""Every lid mark drawn beforehand, for the map that shows thousands of them."""

import math
from dataclasses import dataclass

from web.draw.lid_mark import BOX, lid_body
from web.draw.svg import element, picture

STEPS = 12
"""Parts of an interval that the drawn marks tell apart."""
SHARES: tuple[float | None, ...] = (None, *(step / STEPS for step in range(2 * STEPS + 1)))
"""The drawn states of the ring: no date, then 0 to 2 intervals."""


def twelfths(share_passed: float) -> int:
    """Return the step of 0 to 24 that a drawn mark stands for.

    Down before the due date and up after it, so that rounding never hides an overdue system and
    never makes one.
    """
    exact = share_passed * STEPS
    step = math.ceil(exact - 1e-9) if share_passed > 1 else math.floor(exact + 1e-9)
    if share_passed > 1:
        step = max(step, STEPS + 1)
    elif share_passed < 1:
        step = min(step, STEPS - 1)
    return min(max(step, 0), 2 * STEPS)


def lid_name(share_passed: float | None, wave: bool, bar: bool) -> str:
    """Return the name of the drawn mark for a system, such as ``lid-14-wave-bar``."""
    step = "none" if share_passed is None else str(twelfths(share_passed))
    return f"lid-{step}" + ("-wave" if wave else "") + ("-bar" if bar else "")


@dataclass(frozen=True, slots=True)
class LidSheet:
    """All drawn marks in one SVG, for a map that cuts them out.

    ``cell`` is the side of one mark, ``places`` the left and top edge of each by name. [px]
    """

    svg: str
    cell: int
    width: int
    height: int
    places: dict[str, tuple[int, int]]


def lid_sheet(cell: int = 56) -> LidSheet:
    """Return one picture with every drawn mark and where each lies: one request for a map."""
    scale = cell / BOX[2]
    places: dict[str, tuple[int, int]] = {}
    marks: list[str] = []
    for row, (wave, bar) in enumerate(((False, False), (True, False), (False, True), (True, True))):
        for column, share in enumerate(SHARES):
            left, top = column * cell, row * cell
            places[lid_name(share, wave, bar)] = (left, top)
            middle = f"translate({left + cell / 2:g} {top + cell / 2:g}) scale({scale:g})"
            marks.append(element("g", lid_body(share, wave, bar), transform=middle))
    width, height = len(SHARES) * cell, 4 * cell
    svg = picture(
        "lid-sheet",
        "Lid marks",
        "Every drawn lid mark, for the map.",
        (0, 0, width, height),
        *marks,
    )
    return LidSheet(svg, cell, width, height, places)
