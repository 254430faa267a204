"""Calendar arithmetic of due dates: months, yearly dates, seasons.

All functions take one ``date`` or an array of days (``datetime64[D]``) and return the same kind.
Months are calendar months and clamp to the month's end; an RFC 5545 recurrence rule would skip the
31st instead and is not used for due dates.
"""

from datetime import date
from typing import overload

import numpy as np
import numpy.typing as npt

from registry.errors import RangeError

type Days = npt.NDArray[np.datetime64]

YEARLY_COUNTS_MONTHS = 6
"""A visit counts for a yearly date when it is made within this many months before it.

Common practice, no source: an earlier visit belongs to the year before.
"""


@overload
def add_months(day: date, months: int) -> date: ...
@overload
def add_months(day: Days, months: int | npt.NDArray[np.int64]) -> Days: ...
def add_months(day: date | Days, months: int | npt.NDArray[np.int64]) -> date | Days:
    """Return the same day of the month some calendar months later, or that month's last day.

    Parameters
    ----------
    day
        The day counted from; NaT stays NaT. One date or shape (n,).
    months
        Calendar months, negative for earlier. [months]
    """
    if isinstance(day, date):
        return _one(add_months(np.array([day], dtype="datetime64[D]"), months))
    month = day.astype("datetime64[M]")
    of_month = day - month.astype("datetime64[D]")
    target = month + np.asarray(months).astype("timedelta64[M]")
    last = (target + np.timedelta64(1, "M")).astype("datetime64[D]") - np.timedelta64(1, "D")
    return np.asarray(np.minimum(target.astype("datetime64[D]") + of_month, last))


def month_and_day(month_day: str) -> tuple[int, int]:
    """Return month and day of an "MM-DD" text.

    Raises
    ------
    RangeError
        If the text is not a day that exists, 02-29 included.
    """
    parts = month_day.split("-")
    try:
        when = date(2024, int(parts[0]), int(parts[1]))
    except (ValueError, IndexError):
        raise RangeError(
            f"“{month_day}” is not a day of the year. Write month and day, such as 06-30."
        ) from None
    if len(parts) != 2 or month_day != f"{when.month:02}-{when.day:02}":
        raise RangeError(
            f"“{month_day}” is not a day of the year. Write month and day, such as 06-30."
        )
    return when.month, when.day


@overload
def next_yearly(counted_from: date, yearly_by: str) -> date: ...
@overload
def next_yearly(counted_from: Days, yearly_by: str) -> Days: ...
def next_yearly(counted_from: date | Days, yearly_by: str) -> date | Days:
    """Return the first yearly date that a visit on a day does not already count for.

    A visit counts for a yearly date when it is made within six months before it, so that a visit
    in March counts for 30 June and one in September before does not.

    Parameters
    ----------
    counted_from
        The day of the last visit; NaT stays NaT.
    yearly_by
        The date each year, "MM-DD"; 02-29 is 28 February in other years.
    """
    if isinstance(counted_from, date):
        return _one(next_yearly(np.array([counted_from], dtype="datetime64[D]"), yearly_by))
    earliest = add_months(counted_from, YEARLY_COUNTS_MONTHS)
    year = earliest.astype("datetime64[Y]")
    this = _in_year(year, yearly_by)
    later = _in_year(year, yearly_by, 1)
    return np.asarray(np.where(this > earliest, this, later))


@overload
def into_season(due_on: date, season_from: str, season_to: str) -> date: ...
@overload
def into_season(due_on: Days, season_from: str, season_to: str) -> Days: ...
def into_season(due_on: date | Days, season_from: str, season_to: str) -> date | Days:
    """Return a due date moved back to the end of the season before it, unless it is in season.

    Parameters
    ----------
    due_on
        The date that a rule sets; NaT stays NaT.
    season_from, season_to
        First and last day of the season, "MM-DD"; a season may run over the new year.
    """
    if isinstance(due_on, date):
        day = np.array([due_on], dtype="datetime64[D]")
        return _one(into_season(day, season_from, season_to))
    year = due_on.astype("datetime64[Y]")
    ended = _in_year(year, season_to)
    ended = np.where(ended <= due_on, ended, _in_year(year, season_to, -1))
    start = _in_year(year, season_from)
    began = np.where(start <= due_on, start, _in_year(year, season_from, -1))
    outside = began <= ended  # the last thing that happened to the season is that it ended
    return np.asarray(np.where(outside & ~np.isnat(due_on), ended, due_on))


def in_season(day: date, season_from: str, season_to: str) -> bool:
    """Tell whether a day lies in a season, first and last day included; no season is always."""
    if not season_from or not season_to:
        return True
    begins, ends, now = month_and_day(season_from), month_and_day(season_to), (day.month, day.day)
    if begins <= ends:
        return begins <= now <= ends
    return now >= begins or now <= ends


def _in_year(year: Days, month_day: str, years_later: int = 0) -> Days:
    month, day = month_and_day(month_day)
    start = year.astype("datetime64[M]") + np.timedelta64(12 * years_later + month - 1, "M")
    last = (start + np.timedelta64(1, "M")).astype("datetime64[D]") - np.timedelta64(1, "D")
    return np.asarray(
        np.minimum(start.astype("datetime64[D]") + np.timedelta64(day - 1, "D"), last)
    )


def _one(days: Days) -> date:
    answer: date = days[0].item()
    return answer
