"""The pace dial: where every part is from the reference corner, by bearing, feet and paces."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap

from web.draw.dial_parts import DialPart
from web.draw.dial_scale import DialScale, dial_scale
from web.draw.dial_signs import BELOW_WORDS, SIGN_WORDS, sign
from web.draw.ink import EDGE, FAINT, INK, SHADE, SOFT, WATER
from web.draw.labels import Labels, Rect, Segment
from web.draw.svg import element, fitted, line, picture, words, words_width
from web.present import count, feet

_SIDE, _MIDDLE, _RADIUS = 480.0, 240.0, 186.0
_LEGEND_X, _LEGEND_WIDTH, _ROW, _NOTE_LINE = 500.0, 330.0, 40.0, 19.0
_NEAR = 7.0
"""Parts closer than this share one sign with all their numbers. [px]"""


@dataclass(frozen=True, slots=True)
class Corner:
    """A marked corner: what it is, and (for the second one) where it lies from the first."""

    note: str = ""
    bearing_deg: float | None = None
    distance_ft: float | None = None


@dataclass(slots=True)
class _Mark:
    """One sign on the dial, for one part or for several at the same place."""

    x: float
    y: float
    numbers: list[int]
    part: DialPart
    is_below_bfe: bool
    is_sure: bool


def pace_dial(
    parts: Sequence[DialPart],
    corner: Corner | None = None,
    corner_b: Corner | None = None,
    ident: str = "dial",
    legend: bool = True,
) -> str:
    """Return the dial.

    Parameters
    ----------
    parts
        The parts, in the order of their numbers.
    corner
        The reference corner in the middle.
    corner_b
        The second marked corner; the line to it is drawn, nothing else of the house is known.
    ident
        Start of the ids inside.
    legend
        Whether the numbered list stands beside the dial; False where a table does.

    Returns
    -------
    str
        An SVG of its own, true north up.
    """
    scale = dial_scale(_distances(parts, corner_b), _RADIUS)
    marks = _marks(parts, scale)
    notes = _notes(corner, corner_b, scale)
    height = _SIDE + _NOTE_LINE * len(notes) + 82
    list_part, list_height = _legend(parts) if legend else ("", 0.0)
    body = (
        _rose(scale, parts),
        _wall(corner_b, scale),
        *(_ray(mark) for mark in marks),
        *(sign(m.x, m.y, m.part.kind, m.is_below_bfe, m.is_sure) for m in marks),
        _numbers(marks),
        _corner(),
        "" if marks else _nothing_placed(),
        *(
            words(14, _SIDE + 14 + _NOTE_LINE * n, note, 14, fill=INK)
            for n, note in enumerate(notes)
        ),
        _sign_key(height - 58),
        list_part,
    )
    width = _LEGEND_X + _LEGEND_WIDTH if legend else _SIDE
    return picture(
        ident,
        "Pace dial: where each part is from the reference corner",
        dial_words(parts, corner),
        (0, 0, width, max(height, list_height)),
        *body,
        class_="picture pace-dial",
    )


def dial_words(parts: Sequence[DialPart], corner: Corner | None = None) -> str:
    """Return what the dial shows, in words."""
    if not parts:
        return "No part is on file."
    start = f"From {corner.note}: " if corner and corner.note else "From the reference corner: "
    return start + "; ".join(
        ", ".join(filter(None, (f"{number} {part.label}", part.way(), part.height())))
        for number, part in enumerate(parts, 1)
    )


def _distances(parts: Sequence[DialPart], corner_b: Corner | None) -> list[float]:
    found = [part.distance_ft for part in parts if part.is_placed and part.distance_ft is not None]
    if corner_b and corner_b.bearing_deg is not None and corner_b.distance_ft is not None:
        found.append(corner_b.distance_ft)
    return found


def _marks(parts: Sequence[DialPart], scale: DialScale) -> list[_Mark]:
    marks: list[_Mark] = []
    for number, part in enumerate(parts, 1):
        for bearing_deg in (part.bearing_deg, part.other_bearing_deg):
            if bearing_deg is None or part.distance_ft is None:
                continue
            dx, dy = scale.place(bearing_deg, part.distance_ft)
            x, y = _MIDDLE + dx, _MIDDLE + dy
            sure = part.other_bearing_deg is None
            near = next((m for m in marks if math.dist((m.x, m.y), (x, y)) < _NEAR), None)
            if near is None:
                marks.append(_Mark(x, y, [number], part, part.is_below_bfe, sure))
            else:
                near.numbers.append(number)
                near.is_below_bfe = near.is_below_bfe or part.is_below_bfe
    return marks


def _rose(scale: DialScale, parts: Sequence[DialPart]) -> str:
    """Return rings, degree ticks, the letters of the compass and the ring's distances."""
    out: list[str] = []
    for ring_ft in scale.rings_ft:
        radius = scale.reach(ring_ft)
        edge = EDGE if ring_ft == scale.most_ft else FAINT
        out.append(element("circle", cx=_MIDDLE, cy=_MIDDLE, r=radius, fill="none", stroke=edge))
    for degree in range(0, 360, 10):
        long = 9 if degree % 30 == 0 else 5
        turn = math.radians(degree)
        ends = [
            (_MIDDLE + r * math.sin(turn), _MIDDLE - r * math.cos(turn))
            for r in (_RADIUS, _RADIUS + long)
        ]
        out.append(line(*ends[0], *ends[1], stroke=EDGE))
    for letter, dx, dy in (("E", 1, 0), ("S", 0, 1), ("W", -1, 0)):
        x, y = _MIDDLE + dx * (_RADIUS + 24), _MIDDLE + dy * (_RADIUS + 26)
        out.append(words(x, y + 5, letter, 16, text_anchor="middle", font_weight="bold"))
    out.append(_north())
    turn = math.radians(_free_bearing(parts))
    for ring_ft in scale.rings_ft:
        reach = scale.reach(ring_ft)
        x, y = _MIDDLE + reach * math.sin(turn), _MIDDLE - reach * math.cos(turn)
        out.append(words(x, y + 4, feet(ring_ft, 0), 13, text_anchor="middle", fill=SOFT, halo=1))
    return "".join(out)


def _north() -> str:
    top = _MIDDLE - _RADIUS
    arrow = element("path", d=f"M{_MIDDLE},{top - 24} l6,14 h-12 z", fill=INK)
    return (
        arrow
        + words(_MIDDLE, top - 29, "N", 17, text_anchor="middle", font_weight="bold")
        + words(_MIDDLE + 13, top - 29, "true north", 12.5, fill=SOFT)
    )


def _free_bearing(parts: Sequence[DialPart]) -> float:
    """Return the bearing furthest from every part, for the distances of the rings."""
    taken = [
        bearing
        for part in parts
        for bearing in (part.bearing_deg, part.other_bearing_deg)
        if bearing is not None
    ]

    def room(bearing: float) -> float:
        return min((abs((bearing - other + 180) % 360 - 180) for other in taken), default=180.0)

    return max((22.5, 67.5, 112.5, 157.5, 202.5, 247.5, 292.5, 337.5), key=room)


def _wall(corner_b: Corner | None, scale: DialScale) -> str:
    """Return the line to the second corner; the rest of the house is not known, so not drawn."""
    if corner_b is None or corner_b.bearing_deg is None or corner_b.distance_ft is None:
        return ""
    dx, dy = scale.place(corner_b.bearing_deg, corner_b.distance_ft)
    x, y = _MIDDLE + dx, _MIDDLE + dy
    return (
        line(_MIDDLE, _MIDDLE, x, y, stroke=SHADE, stroke_width=11, stroke_linecap="round")
        + line(_MIDDLE, _MIDDLE, x, y, stroke=EDGE, stroke_width=1.2)
        + element("circle", cx=x, cy=y, r=4, fill=EDGE)
        + words(
            x + (9 if dx >= 0 else -9),
            y + (16 if dy >= 0 else -8),
            "B",
            13,
            fill=SOFT,
            font_weight="bold",
            text_anchor="middle",
            halo=1,
        )
    )


def _ray(mark: _Mark) -> str:
    return line(_MIDDLE, _MIDDLE, mark.x, mark.y, stroke_width=0.8, stroke_dasharray="2 3")


def _corner() -> str:
    """Return the reference corner: a ring with its letter."""
    return element("circle", cx=_MIDDLE, cy=_MIDDLE, r=8.5, fill=INK) + words(
        _MIDDLE, _MIDDLE + 4.5, "A", 12, fill="#ffffff", text_anchor="middle", font_weight="bold"
    )


def number_words(numbers: Sequence[int]) -> str:
    """Return numbers as people list them, runs of three and more as from–to."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said = [f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return ", ".join(said)


def _numbers(marks: Sequence[_Mark]) -> str:
    """Return the numbers beside the signs, with a thin line where one had to step aside."""
    rays = [Segment(_MIDDLE, _MIDDLE, mark.x, mark.y) for mark in marks]
    labels = Labels(Rect(2, 22, _SIDE - 4, _SIDE - 26), rays)
    labels.take(Rect(_MIDDLE - 10, _MIDDLE - 10, 20, 20))
    for mark in marks:
        labels.take(Rect(mark.x - 9, mark.y - 7, 18, 21 if mark.is_below_bfe else 14))
    out: list[str] = []
    for mark in marks:
        text = number_words(mark.numbers)
        width = words_width(text, 16) + 2
        place = labels.place(_around(mark, width))
        if place is None:
            continue
        x, y = place.x + width / 2, place.y + 8
        if math.dist((x, y), (mark.x, mark.y)) > width / 2 + 18:
            out.append(line(mark.x, mark.y, x, y, stroke_width=0.7))
        ink = WATER if mark.is_below_bfe else INK
        out.append(
            words(
                x,
                place.y + 13,
                text,
                16,
                fill=ink,
                text_anchor="middle",
                font_weight="bold",
                halo=1,
            )
        )
    return "".join(out)


def _around(mark: _Mark, width: float) -> Iterator[Rect]:
    """Yield places around a sign: outward first, nearer first."""
    outward = math.atan2(mark.y - _MIDDLE, mark.x - _MIDDLE)
    for reach in (0, 12, 24, 40, 60):
        for step in (0, 1, -1, 2, -2, 3, -3, 4):
            turn = outward + step * math.pi / 4
            x = mark.x + (width / 2 + 9 + reach) * math.cos(turn)
            y = mark.y + (16 + reach) * math.sin(turn)
            yield Rect(x - width / 2, y - 8, width, 16)


def _notes(corner: Corner | None, corner_b: Corner | None, scale: DialScale) -> list[str]:
    said = [f"A: {corner.note}" if corner and corner.note else "A: the reference corner"]
    if corner_b and corner_b.bearing_deg is not None:
        said.append(f"B: {corner_b.note or 'the second marked corner'}")
    if not scale.is_even:
        said.append("The rings are not evenly apart: read the feet beside them.")
    return [row for note in said for row in wrap(note, 52)[:3]]


def _sign_key(y: float) -> str:
    """Return what the shapes mean, in two rows under the dial."""
    out: list[str] = []
    for at, (kind, said) in enumerate(SIGN_WORDS):
        x, row = 24 + 156 * (at % 3), y + 23 * (at // 3)
        out.append(sign(x, row - 4, kind, said == BELOW_WORDS))
        out.append(words(x + 14, row, said, 13, fill=SOFT))
    return "".join(out)


def _nothing_placed() -> str:
    said = "No part has a place on file yet."
    return words(_MIDDLE, _MIDDLE + 44, said, 15, text_anchor="middle", halo=1)


def _legend(parts: Sequence[DialPart]) -> tuple[str, float]:
    """Return the numbered list and the height it takes."""
    out = [words(_LEGEND_X, 30, f"From corner A: {count(len(parts), 'part')}", 13, fill=SOFT)]
    y = 58.0
    for number, part in enumerate(parts, 1):
        ink = WATER if part.is_below_bfe else SOFT
        out.append(words(_LEGEND_X + 24, y, str(number), 14, text_anchor="end", font_weight="bold"))
        out.append(sign(_LEGEND_X + 42, y - 5, part.kind, part.is_below_bfe))
        room = _LEGEND_WIDTH - 64
        out.append(words(_LEGEND_X + 60, y, fitted(part.label, 14, room), 14))
        for said in filter(None, (part.way(), part.height(), *wrap(part.note, 35)[:4])):
            y += 16
            colour = ink if said == part.height() else SOFT
            out.append(words(_LEGEND_X + 60, y, fitted(said, 12, room), 12, fill=colour))
        y += _ROW - 16
    return "".join(out), y
