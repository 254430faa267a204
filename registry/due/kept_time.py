"""Whether a task was done in time, as far as today's interval tells."""

from datetime import date

from registry.due.months import add_months

MOST_MONTHS = 240


def whole_months(counted_from: date, due_on: date) -> int | None:
    """Return the calendar months from one date to the other, None where they are not whole."""
    months = (due_on.year - counted_from.year) * 12 + due_on.month - counted_from.month
    fits = 0 < months <= MOST_MONTHS and add_months(counted_from, months) == due_on
    return months if fits else None


def in_time(
    done_on: date,
    before: date | None,
    counted_from: date | None,
    due_on: date | None,
    grace_days: int,
) -> bool | None:
    """Tell whether a task was done by its due date and the days of grace; None = unknown.

    The due date is reckoned from the visit before by the interval of today. Unknown where no visit
    before is on file, or today's date does not follow from an interval of whole months. Common
    practice, no source: a summary counts a visit late by the rule in force when it is made up.
    """
    if before is None or counted_from is None or due_on is None:
        return None
    months = whole_months(counted_from, due_on)
    if months is None:
        return None
    return (done_on - add_months(before, months)).days <= grace_days
