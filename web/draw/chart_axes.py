"""The axes of a time–distance chart: clock time across, travel time from the yard upward."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from registry.records.day import Route
from registry.units import S_PER_MIN
from web.draw.ink import FAINT, SOFT
from web.draw.svg import line, words
from web.present import clock, local

HOUR = timedelta(hours=1)
LEAST_HOURS = 4
_TICK_STEPS_MIN = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240)
_MOST_TICKS = 6
FOOT_ROW = 46.0
"""How far below the axes the hours stand; initials come between. [px]"""
_LABEL_PX = 46.0
"""Room that one hour's label takes."""


@dataclass(frozen=True, slots=True)
class Axes:
    """Where a moment and a travel time lie in the picture; ``first`` and ``last`` are in UTC.

    ``foot`` is the word for the place from which travel times count.
    """

    left: float
    right: float
    top: float
    bottom: float
    first: datetime
    last: datetime
    most_s: float
    zone: str
    foot: str = "yard"

    def x(self, moment: datetime) -> float:
        """Return how far right a moment lies; moments are compared in UTC, so no hour is lost."""
        whole = (self.last - self.first).total_seconds()
        passed = (moment.astimezone(UTC) - self.first).total_seconds()
        return self.left + (self.right - self.left) * passed / whole

    def y(self, yard_s: float) -> float:
        """Return how high a place lies that is so many seconds of driving from the yard."""
        return self.bottom - (self.bottom - self.top) * yard_s / self.most_s

    def inside(self, x: float) -> float:
        """Return an x no further out than the axes."""
        return min(max(x, self.left), self.right)


@dataclass(frozen=True, slots=True)
class Span:
    """What the axes of a chart span: from when to when, in UTC, and how far from the yard."""

    first: datetime
    last: datetime
    most_s: float

    def grown(self, needed: "Span") -> "Span":
        """Return this span where it holds what is needed; else a larger one, with room to spare."""
        first, last, most_s = self.first, self.last, self.most_s
        if needed.first < first:
            first = needed.first - HOUR
        if needed.last > last:
            last = needed.last + HOUR
        if needed.most_s > most_s:
            most_s = needed.most_s + tick_step_min(needed.most_s / S_PER_MIN) * S_PER_MIN
        return Span(first, last, most_s)


def span_of(routes: Sequence[Route], zone: str) -> Span:
    """Return what the axes of these routes span."""
    return Span(*hours_of(routes, zone), furthest_s(routes))


def hours_of(routes: Sequence[Route], zone: str) -> tuple[datetime, datetime]:
    """Return the whole local hours that hold all routes, at least four; in UTC."""
    begins = local(min(route.leaves for route in routes), zone)
    first = begins.replace(minute=0, second=0, microsecond=0).astimezone(UTC)
    ends = max(route.returns for route in routes).astimezone(UTC)
    last = first + LEAST_HOURS * HOUR
    while last < ends:
        last += HOUR
    return first, last


def furthest_s(routes: Sequence[Route]) -> float:
    """Return the top of the upright axis in seconds: a whole step above the furthest place."""
    most_min = max((place_s for route in routes for place_s in heights_s(route)), default=0)
    most_min /= S_PER_MIN
    step = tick_step_min(most_min * 1.05)
    return max(step * -(-most_min * 1.05 // step), step) * S_PER_MIN


def heights_s(route: Route) -> tuple[float, ...]:
    """Return how far from the yard a route starts, stops and ends, in s of driving."""
    stops = (stop.yard_s for stop in route.stops)
    return route.start_yard_s or 0.0, *stops, route.end_yard_s or 0.0


def from_yard(routes: Sequence[Route]) -> bool:
    """Tell whether heights count from the firm's yard, or from where each route starts."""
    return any(route.start_yard_s is not None for route in routes)


def tick_step_min(most_min: float) -> float:
    """Return the round step in minutes that puts at most six marks on the upright axis."""
    fits = (step for step in _TICK_STEPS_MIN if most_min / step <= _MOST_TICKS)
    return next(fits, _TICK_STEPS_MIN[-1])


def grid(axes: Axes) -> str:
    """Return grid lines with hours along the foot and minutes up the side."""
    parts: list[str] = []
    for moment in _hours(axes):
        x = axes.x(moment)
        parts.append(line(x, axes.top, x, axes.bottom + 32, stroke=FAINT, stroke_width=0.8))
        parts.append(
            words(
                x,
                axes.bottom + FOOT_ROW,
                clock(moment, axes.zone),
                12,
                text_anchor="middle",
                fill=SOFT,
            )
        )
    step_s = tick_step_min(axes.most_s / S_PER_MIN) * S_PER_MIN
    for n in range(int(axes.most_s / step_s + 1e-9) + 1):
        y = axes.y(n * step_s)
        named = f"{n * step_s / S_PER_MIN:.0f} min" if n else axes.foot
        parts.append(line(axes.left, y, axes.right, y, stroke=FAINT, stroke_width=0.8))
        parts.append(words(axes.left - 8, y + 4, named, 12, text_anchor="end", fill=SOFT))
    return "".join(parts)


def _hours(axes: Axes) -> Iterator[datetime]:
    whole = (axes.last - axes.first) / HOUR
    step = 1
    while (axes.right - axes.left) / whole * step < _LABEL_PX:
        step += 1
    moment = axes.first
    while moment <= axes.last:
        yield moment
        moment += step * HOUR
