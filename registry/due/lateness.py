"""How late an obligation is, and which share of its interval has passed."""

from datetime import date


def days_overdue(due_on: date, on_date: date) -> int:
    """Return days since the due date; negative before it, 0 on it."""
    return (on_date - due_on).days


def is_overdue(due_on: date | None, on_date: date, grace_days: int = 0) -> bool:
    """Tell whether an obligation is overdue: its due date and its days of grace have passed."""
    return due_on is not None and days_overdue(due_on, on_date) > grace_days


def share_passed(counted_from: date | None, due_on: date | None, on_date: date) -> float | None:
    """Return the share of the interval that has passed, above 1 past the due date.

    None where no date can be said. Where the start of the interval is unknown the task is due from
    ``due_on`` on, and a year counts as its interval.
    """
    if due_on is None:
        return None
    if counted_from is None or counted_from >= due_on:
        return max(0.0, 1 + days_overdue(due_on, on_date) / 365)
    passed = (on_date - counted_from).days / (due_on - counted_from).days
    return max(0.0, passed)
