"""The due list: obligations due, oldest first, each with the rule behind it."""

from collections.abc import Iterator
from datetime import date

from registry.errors import NotFoundError
from registry.records.due_rows import DueRow
from registry.store import Session, names
from registry.store.obligations import After, count_due, count_overdue, due_page
from registry.store.scope import Scope

PAGE = 5_000
"""Rows that are read at once where all are asked for."""


def due_list(
    session: Session,
    scope: Scope,
    on_date: date,
    within_days: int,
    limit: int | None = None,
) -> Iterator[DueRow]:
    """Yield obligations due by some days after a date, oldest first, at most ``limit``."""
    after: After | None = None
    left = limit
    while left is None or left > 0:
        size = PAGE if left is None else min(PAGE, left)
        page = due_page(session, scope, on_date, within_days, after, size)
        yield from page
        if len(page) < size:
            return
        after = (page[-1].due_on, page[-1].obligation_id)
        left = None if left is None else left - len(page)


def due_counts(session: Session, scope: Scope, on_date: date, within_days: int) -> tuple[int, int]:
    """Return how many obligations are due within some days, and how many are overdue."""
    return (
        count_due(session, scope, on_date, within_days),
        count_overdue(session, scope, on_date),
    )


def scope_named(session: Session, firm: str = "", jurisdiction: str = "") -> Scope:
    """Return the scope of a firm and a jurisdiction by their names, "" for all.

    Raises
    ------
    NotFoundError
        If a name is not known; the known ones are listed.
    """
    firm_id = _id_of(firm, names.firm_ids(session), "firm") if firm else None
    place = (
        _id_of(jurisdiction, names.jurisdiction_ids(session), "jurisdiction")
        if jurisdiction
        else None
    )
    return Scope(firm_id, None if place is None else (place,))


def _id_of(name: str, known: dict[str, int], what: str) -> int:
    if name not in known:
        listed = ", ".join(sorted(known)) or "none"
        raise NotFoundError(f"There is no {what} named “{name}”. Known: {listed}.")
    return known[name]
