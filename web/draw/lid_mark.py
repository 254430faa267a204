"""The lid mark: a system as a riser lid from above; its ring fills as the interval passes."""

import math

from web.draw.ink import INK, PAPER, SHADE, WATER, ramp_colour
from web.draw.svg import element, line, picture

BOX = (-28.0, -28.0, 56.0, 56.0)
"""The lid's middle is the middle of the box, so that a map can centre it on the place."""
LEAST_SEEN = 0.04
"""Share of a turn that the outer arc has at least, so that one day overdue can be seen."""

_RING, _OUTER, _WAVE_Y = 13.0, 20.6, 25.4
_RING_WIDTH = 5.4


def lid_mark(
    share_passed: float | None,
    in_hazard_area: bool | None = False,
    below_bfe: bool | None = False,
    size: float = 44,
    ident: str = "lid",
    label: str = "",
) -> str:
    """Return the mark of one system.

    Parameters
    ----------
    share_passed
        Share of the service interval that has passed for the system's worst obligation; above 1 it
        is overdue, None where no date can be said. [-]
    in_hazard_area
        In a special flood hazard area: a wave under the ring. None (unknown) draws none; the
        description says so.
    below_bfe
        Some equipment below the base flood elevation: a bar across the lid.
    size
        Width and height. [px]
    ident
        Start of the ids inside.
    label
        What the mark stands for, put before the rest of its title.

    Returns
    -------
    str
        An SVG of its own.
    """
    title = f"{label}: {interval_words(share_passed)}" if label else interval_words(share_passed)
    return picture(
        ident,
        title,
        flood_words(in_hazard_area, below_bfe),
        BOX,
        lid_body(share_passed, bool(in_hazard_area), bool(below_bfe)),
        size=(size, size),
        class_="picture lid-mark",
    )


def lid_body(share_passed: float | None, wave: bool, bar: bool) -> str:
    """Return the strokes of a lid mark around 0, 0, without a frame."""
    parts = [element("circle", r=16.2, fill=PAPER, stroke=INK, stroke_width=0.9)]
    if share_passed is None:
        parts.append(
            element(
                "circle",
                r=_RING,
                fill="none",
                stroke=INK,
                stroke_width=3.4,
                stroke_dasharray="2.4 4.41",
            )
        )
    else:
        colour = ramp_colour(share_passed)
        parts.append(
            element("circle", r=_RING, fill="none", stroke=SHADE, stroke_width=_RING_WIDTH)
        )
        parts.append(arc(_RING, min(share_passed, 1.0), colour, _RING_WIDTH))
        if share_passed > 1:
            late = min(max(share_passed - 1, LEAST_SEEN), 1.0)
            parts.append(arc(_OUTER, late, PAPER, 7))
            parts.append(arc(_OUTER, late, INK, 3.8))
    parts.append(element("circle", r=10, fill="none", stroke=INK, stroke_width=0.8))
    # Four bolts: it is a lid, not a clock.
    parts.extend(
        element("circle", cx=x, cy=y, r=1.5, fill=INK)
        for x, y in ((-4.6, -4.6), (4.6, -4.6), (4.6, 4.6), (-4.6, 4.6))
    )
    if bar:
        parts.append(line(-17, 0, 17, 0, stroke=PAPER, stroke_width=6.8))
        parts.append(line(-19, 0, 19, 0, stroke=INK, stroke_width=3.8))
    if wave:
        parts.extend(_wave(colour, width) for colour, width in ((PAPER, 6.4), (WATER, 3.0)))
    return "".join(parts)


def _wave(colour: str, width: float) -> str:
    return element(
        "path",
        d=f"M-15,{_WAVE_Y} q3.75,-5 7.5,0 t7.5,0 t7.5,0 t7.5,0",
        fill="none",
        stroke=colour,
        stroke_width=width,
        stroke_linecap="round",
    )


def arc(radius: float, share: float, colour: str, width: float) -> str:
    """Return an arc from the top, clockwise, over ``share`` of a turn; nothing for 0."""
    if share <= 0:
        return ""
    if share >= 1:
        return element("circle", r=radius, fill="none", stroke=colour, stroke_width=width)
    turn = 2 * math.pi * share
    x, y = radius * math.sin(turn), -radius * math.cos(turn)
    path = f"M0,{-radius:g} A{radius:g},{radius:g} 0 {int(share > 0.5)} 1 {x:.2f},{y:.2f}"
    return element("path", d=path, fill="none", stroke=colour, stroke_width=width)


def interval_words(share_passed: float | None) -> str:
    """Return what the ring says, in words."""
    if share_passed is None:
        return "no due date can be said yet"
    if share_passed > 1:
        late = share_passed - 1
        return (
            f"overdue by {max(round(100 * late), 1)} % of its interval"
            if late < 1
            else f"overdue by {late:.1f} intervals"
        )
    if share_passed == 1:
        return "due today"
    return f"{min(max(math.floor(100 * share_passed), 0), 99)} % of the service interval passed"


def flood_words(in_hazard_area: bool | None, below_bfe: bool | None) -> str:
    """Return what wave and bar say, in words."""
    area = {
        True: "In a special flood hazard area.",
        False: "Outside the special flood hazard area.",
        None: "Flood hazard area unknown.",
    }[in_hazard_area]
    low = {
        True: " Equipment below the base flood elevation.",
        False: "",
        None: " Height against the base flood elevation unknown." if in_hazard_area else "",
    }[below_bfe]
    return area + low
