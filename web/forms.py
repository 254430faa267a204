"""Form text into typed commands; whatever is wrong is gathered and said at once."""

from collections.abc import Mapping
from datetime import date

from registry.errors import RangeError
from registry.records.visits import Hold


def date_in(text: str) -> date:
    """Return the date that an address or a field names.

    Raises
    ------
    RangeError
        If it is no date.
    """
    try:
        return date.fromisoformat(text)
    except ValueError as wrong:
        raise RangeError(f"“{text[:20]}” is no date. Write it as 2026-06-15.") from wrong


def hold_in(form: Mapping[str, str], on_date: date) -> Hold:
    """Return the hold that a form asks for.

    Raises
    ------
    RangeError
        If the site or the technician is not a number.
    """
    complaints = []
    site_id = number_in(form.get("site_id", ""))
    if site_id is None:
        complaints.append("Choose a site.")
    chosen = form.get("technician_id", "")
    technician_id = number_in(chosen) if chosen else None
    if chosen and technician_id is None:
        complaints.append("Choose a technician from the list, or anyone.")
    if complaints:
        raise RangeError(" ".join(complaints))
    return Hold(
        site_id=site_id or 0,
        on_date=on_date,
        technician_id=technician_id,
        note=form.get("note", "").strip()[:200],
    )


def number_in(text: str) -> int | None:
    """Return the number that an address or a field names, None if it names none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None
