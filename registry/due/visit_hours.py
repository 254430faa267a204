"""In which hours of a date work at a site may start, and why not at all."""

from datetime import date, timedelta
from typing import NamedTuple

from registry.due.months import in_season
from registry.records.places import ServiceWindow, WindowException

ALL_DAY = ((0, 1440),)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class Hours(NamedTuple):
    """The windows of a date in local minutes, and why there is none."""

    windows: tuple[tuple[int, int], ...]
    closed_why: str = ""


def hours_on(
    on_date: date,
    windows: tuple[ServiceWindow, ...],
    exceptions: tuple[WindowException, ...],
    season_from: str = "",
    season_to: str = "",
) -> Hours:
    """Return the hours of a date in which work may start.

    What is said of the date itself wins, even outside the season of a vacation house. Without any
    hours on file a site is open all day.
    """
    dated = [one for one in exceptions if one.on_date == on_date]
    if dated:
        return _dated(on_date, dated)
    if not in_season(on_date, season_from, season_to):
        opens = _season_opens(on_date, season_from)
        return Hours(
            (),
            f"Vacation house, closed from {season_to} to {season_from}; open again on {opens}. "
            "Ask the owner and enter hours for the date, or wait.",
        )
    if not windows:
        return Hours(ALL_DAY)
    today = [one for one in windows if one.weekday == on_date.weekday()]
    if not today:
        days = sorted({one.weekday for one in windows})
        said = ", ".join(WEEKDAYS[day] for day in days if 0 <= day < len(WEEKDAYS))
        return Hours(
            (), f"The owner does not open on a {WEEKDAYS[on_date.weekday()]}: {said} only."
        )
    return Hours(_joined([(one.opens_min, one.closes_min) for one in today]))


def _dated(on_date: date, dated: list[WindowException]) -> Hours:
    closed = [one for one in dated if one.opens_min is None]
    if closed:
        note = next((one.note for one in closed if one.note), "")
        said = f": {note.rstrip('.')}" if note else ""
        return Hours((), f"Closed on {on_date}{said}.")
    return Hours(
        _joined(
            [
                (one.opens_min, 1440 if one.closes_min is None else one.closes_min)
                for one in dated
                if one.opens_min is not None
            ]
        )
    )


def _season_opens(on_date: date, season_from: str) -> date:
    day = on_date
    while day.strftime("%m-%d") != season_from and (day - on_date).days < 366:
        day += timedelta(days=1)
    return day


def _joined(hours: list[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Return hours in order, those that touch or overlap as one, cut to the day."""
    found: list[tuple[int, int]] = []
    for opens, closes in sorted((max(0, a), min(1440, b)) for a, b in hours):
        if closes < opens:
            continue
        if found and opens <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], closes))
        else:
            found.append((opens, closes))
    return tuple(found)
