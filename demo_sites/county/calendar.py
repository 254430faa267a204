"""The dates of the invented county: its fixed present, and how its past is laid out.

All files are written as if today were this Tuesday, so that what is due, due soon and overdue stays
meaningful whenever they are read.
"""

from calendar import monthrange
from datetime import date

TODAY = date(2026, 6, 9)
"""A Tuesday in early summer, when the main run of the year's visits begins."""


def months_before(day: date, months: int) -> date:
    """Return the day that lies so many calendar months before another, cut at the month's end."""
    count = day.year * 12 + day.month - 1 - months
    year, month = divmod(count, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
