"""Form text into typed commands; whatever is wrong is gathered and said at once."""

from collections.abc import Mapping
from datetime import date, time

from registry.errors import RangeError
from registry.records.visits import Hold
from registry.units import MIN_PER_H

YEARS = range(1900, 2200)
DAYS_TOGETHER = (1, 2, 3, 5, 10)
"""How many working days the Day page offers to order together."""
DAYS_AHEAD = 30
MOST_DAYS_AHEAD = 3650
"""How far the due list looks where nothing is asked, and at most. [days]"""


def date_in(text: str) -> date:
    """Return the date that an address or a field names.

    Raises
    ------
    RangeError
        If it is no date, or one that no visit can have.
    """
    try:
        found = date.fromisoformat(text)
    except ValueError as wrong:
        raise RangeError(f"“{text[:20]}” is no date. Write it as 2026-06-15.") from wrong
    if found.year not in YEARS:
        raise RangeError(f"{found.year} is too far away. Choose a date from 1900 to 2199.")
    return found


def minute_in(text: str) -> int:
    """Return a time of day as minutes after midnight; raises ValueError where it is none."""
    moment = time.fromisoformat(text)
    return moment.hour * MIN_PER_H + moment.minute


def days_in(form: Mapping[str, str]) -> int:
    """Return how many working days are to be ordered together.

    Raises
    ------
    RangeError
        If it is none of those offered.
    """
    found = number_in(form.get("days", "1"))
    if found not in DAYS_TOGETHER:
        raise RangeError("Choose from the list how many days are ordered together.")
    return found


def hold_in(form: Mapping[str, str], on_date: date, site_id: int | None = None) -> Hold:
    """Return the hold that a form asks for; ``site_id`` where the form names it by its number.

    Raises
    ------
    RangeError
        If the site or the technician is not a number, or promised hours are no times of day.
    """
    complaints = []
    if site_id is None:
        site_id = number_in(form.get("site_id", ""))
    if site_id is None:
        complaints.append("Choose a site.")
    chosen = form.get("technician_id", "")
    technician_id = number_in(chosen) if chosen else None
    if chosen and technician_id is None:
        complaints.append("Choose a technician from the list, or anyone.")
    promised: list[int | None] = [None, None]
    for number, name in enumerate(("from", "to")):
        given = form.get(name, "")
        try:
            promised[number] = minute_in(given) if given else None
        except ValueError:
            complaints.append(f"“{given[:20]}” is no time of day. Write it as 09:30.")
    if complaints:
        raise RangeError(" ".join(complaints))
    return Hold(
        site_id=site_id or 0,
        on_date=on_date,
        technician_id=technician_id,
        note=form.get("note", "").strip()[:200],
        from_min=promised[0],
        to_min=promised[1],
    )


def number_in(text: str) -> int | None:
    """Return the number that an address or a field names, None if it names none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None


def days_ahead_in(text: str) -> int:
    """Return how many days ahead a list looks, 30 where nothing is asked.

    Raises
    ------
    RangeError
        If it is no whole number of days up to ten years.
    """
    if not text:
        return DAYS_AHEAD
    days = number_in(text)
    if days is None or days > MOST_DAYS_AHEAD:
        raise RangeError(f"Days ahead is a whole number from 0 to {MOST_DAYS_AHEAD:,}.")
    return days


def after_in(asked: Mapping[str, str], day: str, row: str) -> tuple[date, int] | None:
    """Return the row after which a further page begins, None for the first page.

    Raises
    ------
    RangeError
        If the address of a further page is not complete.
    """
    due, number = asked.get(day), asked.get(row)
    if due is None and number is None:
        return None
    row_id = number_in(number or "")
    if row_id is None:
        raise RangeError("That address of a further page is not complete. Start at the first.")
    return date_in(due or ""), row_id
