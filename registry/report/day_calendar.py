"""A day, or one technician's route, as an iCalendar file (RFC 5545)."""

from datetime import UTC, datetime, time
from uuid import UUID, uuid5

from icalendar import Calendar, Event

from registry.records.day import Day, Route, Stop

NAMESPACE = UUID("6b0f3f2c-6a5e-5a0c-9b1f-9c8f2f1d7a10")
"""Our own: the same visit on the same date keeps its UID, so a second file replaces the first."""


def day_calendar(*days: Day, name: str = "") -> bytes:
    """Return the visits of some days as iCalendar text, moments in UTC.

    ``name`` is what a program that subscribes to it may call it. Gate codes, phones and notes stay
    out: a calendar is handed on more easily than a gate sheet.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Riserway//day//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    if name:
        calendar.add("x-wr-calname", name)
    for day in days:
        made_at = day.made_at or datetime.combine(day.on_date, time(), UTC)
        for route in day.routes:
            for stop in route.stops:
                if stop.kind != "lunch":
                    calendar.add_component(_event(day, route, stop, made_at))
    return bytes(calendar.to_ical())


def _event(day: Day, route: Route, stop: Stop, made_at: datetime) -> Event:
    event = Event()
    name = f"{day.firm_id}/{day.on_date.isoformat()}/{route.technician_id}/{stop.kind}/{stop.site}"
    event.add("uid", f"{uuid5(NAMESPACE, name)}@riserway.invalid")
    event.add("dtstamp", made_at.astimezone(UTC))
    event.add("dtstart", stop.starts.astimezone(UTC))
    event.add("dtend", stop.leaves.astimezone(UTC))
    event.add("summary", _summary(stop))
    if stop.place:
        event.add("location", stop.place)
    if stop.lon_lat is not None:
        event.add("geo", (stop.lon_lat.lat, stop.lon_lat.lon))
    event.add("description", "\n".join(_lines(stop)))
    return event


def _summary(stop: Stop) -> str:
    if stop.kind == "fill":
        return f"Fill the water tank: {stop.place}"
    return f"{stop.site}: {', '.join(stop.tasks)}"


def _lines(stop: Stop) -> list[str]:
    lines = [f"Arrive {stop.arrives:%H:%M}, start {stop.starts:%H:%M}, leave {stop.leaves:%H:%M}."]
    if stop.window is not None:
        lines.append(f"The gate is open {stop.window[0]:%H:%M} to {stop.window[1]:%H:%M}.")
    lines += stop.roads
    if stop.water_gal:
        lines.append(f"Water to bring: {stop.water_gal:.0f} gal.")
    if stop.kind == "visit":
        lines.append("Read the gate sheet before you go in.")
    return lines
