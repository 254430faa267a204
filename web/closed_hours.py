"""Roads that are closed for hours, as words and as bands of the chart."""

from registry.records.day import ClosedHours, Day
from web.draw.time_distance import Band
from web.present import clock, local


def closed_words(day: Day, zone: str) -> list[str]:
    """Return the closed roads of a plan, those that are closed for hours with these."""
    hours: dict[str, list[str]] = {}
    for one in day.closed_hours:
        hours.setdefault(one.name, []).append(_span(one, zone))
    return [
        f"{name} {' and '.join(hours[name])}" if name in hours else name
        for name in day.roads.closed
    ]


def bands_of(day: Day, zone: str) -> list[Band]:
    """Return the hours of closed roads as bands for the chart."""
    return [
        Band(one.begins, one.ends, f"{one.name} closed {_span(one, zone)}", "closure")
        for one in day.closed_hours
    ]


def _span(one: ClosedHours, zone: str) -> str:
    ends = local(one.ends, zone)
    at_midnight = ends.date() > local(one.begins, zone).date()
    return f"{clock(one.begins, zone)}–{'24:00' if at_midnight else clock(ends, zone)}"
