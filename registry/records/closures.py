"""Closed roads: where, from when to when, by whom and why; and which of them stand on a day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from registry.units import MIN_PER_DAY

type Hours = tuple[int, int]
"""From and to, in local minutes after midnight."""


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
    shape: object
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

    def touches(self, shifts: Iterable[Hours]) -> bool:
        """Tell whether its hours fall into one of the shifts; a moment in common is not enough."""
        if self.hours is None:
            return True
        begins, ends = self.hours
        spans = [(begins, ends)] if begins < ends else [(begins, MIN_PER_DAY), (0, ends)]
        return any(
            a < shift_to and shift_from < b for a, b in spans for shift_from, shift_to in shifts
        )


def in_force(
    closures: Iterable[Closure], on_date: date, shifts: Iterable[Hours]
) -> tuple[Closure, ...]:
    """Return the closures that a day's plan must drive around.

    Travel times do not depend on the hour: a road that is closed during a part of anybody's shift
    counts as closed all day, one that is closed only outside all shifts as open.
    """
    shifts = tuple(shifts)
    return tuple(one for one in closures if one.holds_on(on_date) and one.touches(shifts))
