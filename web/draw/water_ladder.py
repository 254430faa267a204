"""The water ladder: one upright scale of stages; things stand at their height, water fills it."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from web.draw.ink import EDGE, FAINT, INK, SHADE, SOFT, WATER
from web.draw.svg import element, fitted, line, picture, words

WIDTH, _FOOT_PX, _TOP = 640.0, 26.0, 34.0
_RAILS, _BARS, _BARS_END, _ROADS = (4.0, 44.0), 54.0, 290.0, 340.0
_NAME_PX, _APART_PX = 12, 15.0


class Step(NamedTuple):
    """How many components go under within the half foot that begins at a stage."""

    stage_ft: float
    n: int


class RoadMark(NamedTuple):
    """A low place of a road at the stage that closes it."""

    name: str
    stage_ft: float


class Ladder(NamedTuple):
    """What stands on the ladder; ``peak_ft`` is the highest stage of a forecast, if any."""

    stage_ft: float
    lowest_ft: float
    highest_ft: float
    steps: Sequence[Step]
    roads: Sequence[RoadMark]
    peak_ft: float | None = None


def water_ladder(ladder: Ladder, ident: str = "ladder") -> str:
    """Return the ladder as SVG: rungs each foot, components beside it, then roads.

    Parameters
    ----------
    ladder
        What stands on it; things outside its stages are left out.
    ident
        Start of the ids inside.
    """
    rungs = range(int(ladder.lowest_ft), int(-(-ladder.highest_ft // 1)) + 1)
    first, last = rungs[0], rungs[-1]
    bottom = _TOP + (last - first) * _FOOT_PX

    def y(stage_ft: float) -> float:
        return bottom - (min(max(stage_ft, first), last) - first) * _FOOT_PX

    level = y(ladder.stage_ft)
    left, right = _RAILS
    parts = [
        words(_BARS, 16, "Components, by half a foot", 12, font_weight="bold"),
        words(_ROADS, 16, "Low places of roads", 12, font_weight="bold"),
        element(
            "rect",
            x=0,
            y=level,
            width=WIDTH,
            height=bottom - level,
            fill=WATER,
            opacity=0.16,
            class_="ladder-water",
            data_first=first,
            data_last=last,
            data_bottom=bottom,
            data_foot=_FOOT_PX,
        ),
        line(0, level, WIDTH, level, stroke=WATER, stroke_width=2.5, class_="ladder-level"),
    ]
    for rung in rungs:
        at, middle = y(rung), (left + right) / 2
        parts.append(line(left, at, right, at, stroke=EDGE, stroke_width=1.5))
        parts.append(
            words(middle, at - 3, f"{rung} ft", 11, text_anchor="middle", fill=SOFT, halo=1)
        )
    parts += [line(x, _TOP - 8, x, bottom, stroke=INK, stroke_width=2) for x in _RAILS]
    parts += _bars(ladder, y)
    parts += _roads(ladder, y)
    if ladder.peak_ft is not None:
        at = y(ladder.peak_ft)
        parts.append(line(0, at, WIDTH, at, stroke=INK, stroke_dasharray="2 5"))
        said = f"highest of the forecast, {ladder.peak_ft:g} ft"
        parts.append(words(WIDTH - 4, at - 4, said, 11, text_anchor="end", halo=1))
    said = f"water at {ladder.stage_ft:g} ft"
    parts.append(
        element(
            "g",
            words(WIDTH - 4, bottom - 6, said, 12, text_anchor="end", font_weight="bold", halo=1),
            class_="ladder-said",
        )
    )
    parts.append(element("g", " ", class_="ladder-picked"))
    told = _told(ladder)
    return picture(ident, "Water ladder", told, (0, 0, WIDTH, bottom + 12), *parts)


def _bars(ladder: Ladder, y: Callable[[float], float]) -> list[str]:
    most = max((step.n for step in ladder.steps), default=1)
    parts = []
    for step in ladder.steps:
        if not ladder.lowest_ft <= step.stage_ft <= ladder.highest_ft:
            continue
        top = y(step.stage_ft + 0.5) + 1.5
        long = max((_BARS_END - _BARS) * step.n / most, 1.5)
        parts.append(
            element(
                "rect",
                x=_BARS,
                y=top,
                width=long,
                height=_FOOT_PX / 2 - 3,
                fill=SHADE if step.stage_ft > ladder.stage_ft else WATER,
                class_="ladder-step",
                data_stage=step.stage_ft,
                stroke=INK,
                stroke_width=0.8,
            )
        )
        parts.append(words(_BARS + long + 5, top + 9, str(step.n), 10, halo=1))
    return parts


def _roads(ladder: Ladder, y: Callable[[float], float]) -> list[str]:
    """Return roads at their height; names that would lie on each other are moved apart."""
    parts, free = [], 1e9
    for road in sorted(ladder.roads, key=lambda one: one.stage_ft):
        if not ladder.lowest_ft <= road.stage_ft <= ladder.highest_ft:
            continue
        at = y(road.stage_ft)
        text_at = min(at + 4, free - _APART_PX)
        free = text_at
        closed = road.stage_ft <= ladder.stage_ft
        parts.append(line(_ROADS - 26, at, _ROADS - 12, at, stroke=INK, stroke_width=3))
        parts.append(line(_ROADS - 12, at, _ROADS - 3, text_at - 4, stroke=FAINT))
        name = fitted(f"{road.name}{', closed' if closed else ''}", _NAME_PX, WIDTH - _ROADS)
        weight = "bold" if closed else None
        parts.append(words(_ROADS, text_at, name, _NAME_PX, font_weight=weight, halo=1))
    return parts


def _told(ladder: Ladder) -> str:
    under = sum(step.n for step in ladder.steps if step.stage_ft <= ladder.stage_ft)
    closed = [road.name for road in ladder.roads if road.stage_ft <= ladder.stage_ft]
    roads = ", ".join(closed) or "none"
    return (
        f"Water at {ladder.stage_ft:g} ft. About {under:,} components under water. Roads closed: "
        f"{roads}."
    )
