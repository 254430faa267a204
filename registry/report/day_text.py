"""A day as text for a terminal or for reading aloud: who drives where, and what waits and why."""

from collections.abc import Iterator
from datetime import date

from registry.records.day import Day, Route, Stop, Waiting
from registry.report.from_best import from_best
from registry.units import M_PER_MI, S_PER_MIN

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


def day_text(day: Day, *, most_waiting: int | None = None) -> str:
    """Return a day in sentences and lines.

    Parameters
    ----------
    day
        The day.
    most_waiting
        How many of the waiting visits to list, the longest overdue first; None for all.
    """
    return "\n".join(_lines(day, most_waiting))


def day_summary(day: Day) -> str:
    """Return a day in few lines: the totals, and one line for each technician."""
    return "\n".join([_headline(day), *(f"  {_route_head(route)}" for route in day.routes)])


def long_date(day: date) -> str:
    """Return ``Tuesday, 9 June 2026``, in English whatever the machine's language."""
    return f"{WEEKDAYS[day.weekday()]}, {day.day} {MONTHS[day.month - 1]} {day.year}"


def duration(seconds: float) -> str:
    """Return ``3 h 05 min``, ``45 min``."""
    hours, minutes = divmod(round(seconds / S_PER_MIN), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"


def _lines(day: Day, most_waiting: int | None) -> Iterator[str]:
    yield _headline(day)
    if day.gap is not None:
        yield f"How far from the best possible: {from_best(day.gap)}."
    yield f"Travel times: {day.roads.source}."
    for note in (*day.notes, *day.roads.warnings):
        yield f"Note: {note}"
    for route in day.routes:
        yield ""
        yield _route_head(route)
        for stop in route.stops:
            yield f"  {stop.arrives:%H:%M}  {_stop(stop)}"
            yield from (f"         {said}" for said in stop.roads)
        yield from (f"  {route.returns:%H:%M}  back. {said}" for said in route.roads_back)
    if day.waiting:
        yield ""
        yield from _waiting_lines(day.waiting, most_waiting)


def _headline(day: Day) -> str:
    visits = sum(len(route.visits) for route in day.routes)
    driving = sum(route.drive_s for route in day.routes)
    return (
        f"{long_date(day.on_date)}: {_count(visits, 'visit')} on {_count(_used(day), 'route')}, "
        f"{duration(driving)} of driving, {_count(len(day.waiting), 'visit')} left waiting."
    )


def _used(day: Day) -> int:
    return sum(bool(route.visits) for route in day.routes)


def _route_head(route: Route) -> str:
    if not route.visits:
        return f"{route.technician}: no visit today."
    miles = route.drive_m / M_PER_MI
    return (
        f"{route.technician} leaves at {route.leaves:%H:%M} and is back at {route.returns:%H:%M}: "
        f"{_count(len(route.visits), 'visit')}, {duration(route.drive_s)} of driving "
        f"({miles:.0f} mi), {duration(route.wait_s)} of waiting."
    )


def _stop(stop: Stop) -> str:
    if stop.kind == "lunch":
        return f"lunch until {stop.leaves:%H:%M}"
    if stop.kind == "fill":
        return f"fill the water tank at {stop.place or stop.site} until {stop.leaves:%H:%M}"
    where = f"{stop.site}, {stop.place}" if stop.place else stop.site
    if stop.kind == "missed":
        return where
    later = f", starts at {stop.starts:%H:%M}" if stop.starts > stop.arrives else ""
    water = f", brings {stop.water_gal:.0f} gal of water" if stop.water_gal else ""
    held = ", held" if stop.held else ""
    what = f": {', '.join(stop.tasks)}" if stop.tasks else ""
    return f"{where}{what}{later}, until {stop.leaves:%H:%M}{water}{held}"


def _waiting_lines(waiting: tuple[Waiting, ...], most: int | None) -> Iterator[str]:
    ordered = sorted(waiting, key=lambda one: (-one.days_overdue, one.site))
    yield "Left waiting, the longest overdue first:"
    for one in ordered[:most]:
        where = f"{one.site}, {one.place}" if one.place else one.site
        yield f"  {where}: {', '.join(one.tasks)}; {_due(one)}. {one.why}"
    if most is not None and len(ordered) > most:
        yield f"  … and {_count(len(ordered) - most, 'visit')} more."


def _due(one: Waiting) -> str:
    if one.days_overdue > 0:
        return f"{_count(one.days_overdue, 'day')} overdue"
    return f"due on {one.due_on.day} {MONTHS[one.due_on.month - 1]}"


def _count(n: int, thing: str) -> str:
    return f"{n} {thing}" if n == 1 else f"{n} {thing}s"
