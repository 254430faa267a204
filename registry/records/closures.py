"""Closed roads: where, from when to when, by whom and why; and which of them stand on a day."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from registry.errors import RangeError
from registry.units import MIN_PER_DAY, MIN_PER_H

if TYPE_CHECKING:
    from shapely import Geometry

type Hours = tuple[int, int]
"""From and to, in local minutes after midnight."""

HOURS = re.compile(r"(\d{1,2}):(\d{2}) ?- ?(\d{1,2}):(\d{2})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """A stretch of road that is closed.

    ``shape`` is a shapely line, polygon or several of them in EPSG:4326. ``road``, where it is not
    empty, means that only the road of that name or number is closed there. ``first_on`` and
    ``last_on`` are the first and the last day, ``last_on`` None = until further notice. ``hours``
    holds on each of these days, None = all day; it runs past midnight where it ends before it
    begins. A closure is never changed, only lifted.
    """

    id: int = 0
    firm_id: int = 0
    name: str
    shape: "Geometry"
    road: str = ""
    first_on: date
    last_on: date | None = None
    hours: Hours | None = None
    why: str = ""
    made_by: str = ""
    made_at: datetime | None = None
    lifted_by: str = ""
    lifted_at: datetime | None = None

    def holds_on(self, on_date: date) -> bool:
        """Tell whether the road is closed on a date, at whatever hour."""
        begun = self.first_on <= on_date
        return (
            self.lifted_at is None and begun and (self.last_on is None or on_date <= self.last_on)
        )

    def spans(self) -> tuple[Hours, ...]:
        """Return the hours of any one of its days in which the road is closed, in order."""
        if self.hours is None:
            return ((0, MIN_PER_DAY),)
        begins, ends = self.hours
        return ((begins, ends),) if begins < ends else ((0, ends), (begins, MIN_PER_DAY))

    def touches(self, shifts: Iterable[Hours]) -> bool:
        """Tell whether its hours fall into one of the shifts; a moment in common is not enough."""
        if self.hours is None:
            return True
        return any(
            a < shift_to and shift_from < b
            for a, b in self.spans()
            for shift_from, shift_to in shifts
        )

    def when(self, said: Callable[[date], str] = str) -> str:
        """Return in words when the road is closed; ``said`` is how a date is written."""
        if self.last_on is None:
            days = f"from {said(self.first_on)} until further notice"
        elif self.last_on == self.first_on:
            days = f"on {said(self.first_on)}"
        else:
            days = f"from {said(self.first_on)} to {said(self.last_on)}"
        return f"{days}, {hours_said(self.hours)}" if self.hours else days


def hours_in(text: str) -> Hours:
    """Return the hours that a text like ``08:00-12:00`` names.

    Raises
    ------
    RangeError
        If it names none.
    """
    found = HOURS.fullmatch(text.strip().replace("–", "-"))
    hours = [int(part) for part in found.groups()] if found else []
    spans = [(hours[i], hours[i + 1]) for i in (0, 2)] if hours else []
    moments = [hour * MIN_PER_H + minute for hour, minute in spans if minute < MIN_PER_H]
    if len(moments) < len(spans) or not spans or max(moments) > MIN_PER_DAY:
        raise RangeError(f"“{text[:20]}” names no hours. Write them as 08:00-12:00.")
    begins, ends = moments
    if begins == ends:
        raise RangeError(f"{text[:20]} begins when it ends. Leave the hours out to close all day.")
    return begins, ends


def hours_said(hours: Hours) -> str:
    """Return hours as people read them."""
    begins, ends = hours
    return f"{_clock(begins)}–{_clock(ends)}"


def _clock(minute: int) -> str:
    return f"{minute // MIN_PER_H:02d}:{minute % MIN_PER_H:02d}"


def in_force(
    closures: Iterable[Closure], on_date: date, shifts: Iterable[Hours]
) -> tuple[Closure, ...]:
    """Return the closures that a day's plan must look at.

    A road that is closed only outside all shifts counts as open.
    """
    shifts = tuple(shifts)
    return tuple(one for one in closures if one.holds_on(on_date) and one.touches(shifts))
