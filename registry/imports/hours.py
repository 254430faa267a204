"""Hours in which an owner opens, as a person types them into one field."""

import re

from registry.imports.cells import Fault
from registry.imports.dates import DateColumn
from registry.imports.numbers import shortened
from registry.imports.words import minutes, weekdays
from registry.records.places import ServiceWindow, WindowException

_WEEKLY = re.compile(r"(.*?[A-Za-z.])\s+(\S+?)\s*[-–]\s*(\S+)")
_DATED = re.compile(r"(\S+)\s+(?:(closed)|(\S+?)\s*[-–]\s*(\S+?))\s*(?:\((.*)\))?", re.IGNORECASE)
_PARTS = re.compile(r"[;\n]")


def weekly_hours(text: str) -> tuple[ServiceWindow, ...] | Fault:
    """Return the weekly hours of ``mon-fri 08:00-17:00; sat 09:00-12:00``, in order."""
    found: set[ServiceWindow] = set()
    for part in _parts(text):
        match = _WEEKLY.fullmatch(part)
        days = weekdays(match[1]) if match else None
        hours = _span(match[2], match[3]) if match else None
        if isinstance(days, Fault):
            return days
        if days is None or hours is None:
            return Fault(
                f"“{shortened(part)}” names no weekdays with hours",
                "Write them as mon-fri 08:00-17:00, one line for each",
            )
        if isinstance(hours, Fault):
            return hours
        found |= {ServiceWindow(day, *hours) for day in days}
    return tuple(sorted(found, key=lambda one: (one.weekday, one.opens_min, one.closes_min)))


def dated_hours(text: str) -> tuple[WindowException, ...] | Fault:
    """Return the hours of single dates: ``2026-07-03 closed; 2026-07-06 10:00-12:00 (note)``."""
    found = []
    for part in _parts(text):
        match = _DATED.fullmatch(part)
        if match is None:
            return Fault(
                f"“{shortened(part)}” names no date with hours",
                "Write it as 2026-07-03 closed, or 2026-07-06 10:00-12:00",
            )
        dates, faults = DateColumn().read([match[1]])
        if faults:
            return faults[0]
        hours = None if match[2] else _span(match[3], match[4])
        if isinstance(hours, Fault):
            return hours
        opens_min, closes_min = hours or (None, None)
        if dates[0] is not None:
            note = (match[5] or "").strip()
            found.append(WindowException(dates[0], opens_min, closes_min, note))
    return tuple(sorted(found, key=lambda one: (one.on_date, one.opens_min or 0)))


def _parts(text: str) -> list[str]:
    return [one.strip() for one in _PARTS.split(text) if one.strip()]


def _span(opens: str, closes: str) -> tuple[int, int] | Fault:
    opens_min, closes_min = minutes(opens), minutes(closes)
    for one, said in ((opens_min, opens), (closes_min, closes)):
        if not isinstance(one, int):
            fault = Fault(f"“{shortened(said)}” is no time of day", "Write it as 08:00 or 17:30")
            return one if isinstance(one, Fault) else fault
    assert isinstance(opens_min, int)  # noqa: S101 - both were looked at above
    assert isinstance(closes_min, int)  # noqa: S101
    if opens_min >= closes_min:
        return Fault(f"{opens}–{closes} ends before it begins", "Give the earlier time first")
    return opens_min, closes_min
