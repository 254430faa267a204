"""How many systems of how many are overdue, by town or system type, and from when."""

from datetime import date
from typing import Any, Literal

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from registry.records.county_numbers import LateShare
from registry.records.due_rows import DueFilter
from registry.store.due_filter import Due, due_of, filtered
from registry.store.lateness_sql import overdue
from registry.store.overdue import ALL
from registry.store.scope import Scope

type By = Literal["town", "kind"]
"""What the systems of each jurisdiction are grouped by."""


def late_shares(
    session: Session, scope: Scope, on_date: date, by: By, which: DueFilter = ALL
) -> list[LateShare]:
    """Return for each group how many systems it has, how many are overdue, and since when.

    Parameters
    ----------
    by
        What makes a group.
    which
        Which systems count; its days overdue say from when on one counts as overdue.
    """
    due = due_of(which)
    late = overdue(session, due.due_on, due.grace_days, on_date, which.late_days or 0)
    keys = due.jurisdiction_id, due.town if by == "town" else due.kind
    asked = select(
        *keys,
        func.count(),
        func.sum(case((late, 1), else_=0)),
        func.sum(case((due.due_on.is_(None), 1), else_=0)),
        func.min(case((late, due.due_on))),
    ).select_from(due)
    asked = asked.where(*_which(due, scope, which, on_date)).group_by(*keys).order_by(*keys)
    return [LateShare(*row) for row in session.execute(asked)]


def due_dates(
    session: Session, scope: Scope, on_date: date, which: DueFilter = ALL
) -> list[tuple[date | None, int, int]]:
    """Return due date, days of grace and how many systems have both; None = no date is known."""
    due = due_of(which)
    keys = due.due_on, due.grace_days
    asked = select(*keys, func.count()).where(*_which(due, scope, which, on_date)).group_by(*keys)
    return [(row[0], row[1], row[2]) for row in session.execute(asked)]


def _which(due: Due, scope: Scope, which: DueFilter, on_date: date) -> list[Any]:
    narrow = scope.narrowed(which.firm_id, which.jurisdiction_id)
    conditions = narrow.conditions(due.firm_id, due.jurisdiction_id)
    return [*conditions, *filtered(due, which, on_date)]
