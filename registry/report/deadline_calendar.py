"""Deadlines as an iCalendar file (RFC 5545) and as rows of a table."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from uuid import uuid5

from icalendar import Calendar, Event

from registry.records.deadlines import DueBy
from registry.report.csv_text import csv_text
from registry.report.day_calendar import NAMESPACE

COLUMNS = ("on_date", "days_late", "kind", "site", "place", "what", "who", "citation")


def deadline_calendar(deadlines: Iterable[DueBy], now: datetime, name: str = "") -> bytes:
    """Return deadlines as iCalendar text, each a whole day; the same one keeps its UID.

    Owners, gate codes and notes stay out: a calendar is handed on easily.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Riserway//deadlines//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    if name:
        calendar.add("x-wr-calname", name)
    for one in deadlines:
        calendar.add_component(_event(one, now))
    return bytes(calendar.to_ical())


def deadline_csv(deadlines: Iterable[DueBy]) -> str:
    """Return deadlines as CSV, the earliest first."""
    return csv_text(COLUMNS, [{name: getattr(one, name) for name in COLUMNS} for one in deadlines])


def _event(one: DueBy, now: datetime) -> Event:
    event = Event()
    event.add("uid", f"{uuid5(NAMESPACE, one.key)}@riserway.invalid")
    event.add("dtstamp", now.astimezone(UTC))
    event.add("dtstart", one.on_date)
    event.add("dtend", one.on_date + timedelta(days=1))  # exclusive: RFC 5545 section 3.6.1
    event.add("summary", f"{one.site}: {one.what}")
    if one.place:
        event.add("location", one.place)
    event.add("categories", [one.kind.value])
    event.add("transp", "TRANSPARENT")
    said = [one.citation, f"Firm: {one.who}" if one.who else ""]
    if any(said):
        event.add("description", "\n".join(filter(None, said)))
    return event
