"""A season as CSV and as an iCalendar file (RFC 5545), without owners, codes and notes."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from uuid import uuid5

from icalendar import Calendar, Event

from registry.records.season import SeasonVisit
from registry.report.csv_text import csv_text
from registry.report.day_calendar import NAMESPACE

COLUMNS = ("week_on", "site", "town", "tasks", "minutes", "due_on", "late", "promised_on")


def season_csv(visits: Iterable[SeasonVisit]) -> str:
    """Return the visits of a season as CSV, by week."""
    rows = [
        {name: getattr(one, name, None) for name in COLUMNS}
        | {
            "tasks": ", ".join(one.tasks),
            "late": "yes" if one.late else "",
            "promised_on": one.promised_at.date() if one.promised_at else None,
        }
        for one in visits
    ]
    return csv_text(COLUMNS, rows)


def season_calendar(visits: Iterable[SeasonVisit], now: datetime) -> bytes:
    """Return a season as iCalendar text: each week one entry from Monday to Friday for each town.

    An entry of the same week and town keeps its UID, so that a later season takes its place.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Riserway//season//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", "Season")
    weeks: dict[tuple[datetime | object, str], list[SeasonVisit]] = {}
    for one in visits:
        weeks.setdefault((one.week_on, one.town), []).append(one)
    for (_, town), group in weeks.items():
        event = Event()
        first = group[0].week_on
        event.add("uid", f"{uuid5(NAMESPACE, f'season {first} {town}')}@riserway.invalid")
        event.add("dtstamp", now.astimezone(UTC))
        event.add("dtstart", first)
        event.add("dtend", first + timedelta(days=5))  # exclusive: RFC 5545 section 3.6.1
        count = f"{len(group)} visit{'s' if len(group) > 1 else ''}"
        event.add("summary", f"{town}: {count}" if town else count)
        event.add("transp", "TRANSPARENT")
        event.add("description", "\n".join(f"{one.site}: {', '.join(one.tasks)}" for one in group))
        calendar.add_component(event)
    return bytes(calendar.to_ical())
