"""How many systems of how many are overdue, by town, jurisdiction or system type, and from when."""

from datetime import date
from typing import Any

from sqlalchemy import case, func, literal, select
from sqlalchemy.orm import Session

from registry.records.county_numbers import LateShare
from registry.records.due_rows import DueFilter
from registry.store.due_filter import filtered
from registry.store.lateness_sql import overdue
from registry.store.overdue import ALL
from registry.store.scope import Scope
from registry.store.tables import SiteRow, SystemDueRow, SystemRow

GROUPS: dict[str, tuple[Any, ...]] = {
    "town": (SystemDueRow.jurisdiction_id, SiteRow.town),
    "jurisdiction": (SystemDueRow.jurisdiction_id,),
    "kind": (SystemRow.kind,),
}
"""What systems can be grouped by; a town belongs to its jurisdiction."""


def late_shares(
    session: Session, scope: Scope, on_date: date, by: str, which: DueFilter = ALL
) -> list[LateShare]:
    """Return for each group how many systems it has, how many are overdue, and since when.

    Parameters
    ----------
    by
        A key of ``GROUPS``.
    which
        Which systems count; its days overdue say from when on one counts as overdue.
    """
    keys = GROUPS[by]
    late = overdue(
        session, SystemDueRow.due_on, SystemDueRow.grace_days, on_date, which.late_days or 0
    )
    asked = select(
        keys[0] if keys[0] is SystemDueRow.jurisdiction_id else literal(0),
        keys[-1] if by != "jurisdiction" else literal(""),
        func.count(),
        func.sum(case((late, 1), else_=0)),
        func.sum(case((SystemDueRow.due_on.is_(None), 1), else_=0)),
        func.min(case((late, SystemDueRow.due_on))),
    ).select_from(SystemDueRow)
    if by == "town":
        asked = asked.join(SiteRow, SiteRow.id == SystemDueRow.site_id)
    if by == "kind":
        asked = asked.join(SystemRow, SystemRow.id == SystemDueRow.system_id)
    asked = asked.where(*_which(scope, which, on_date)).group_by(*keys).order_by(*keys)
    return [LateShare(*row) for row in session.execute(asked)]


def due_dates(
    session: Session, scope: Scope, on_date: date, which: DueFilter = ALL
) -> list[tuple[date | None, int, int]]:
    """Return due date, days of grace and how many systems have both; None = no date is known."""
    keys = SystemDueRow.due_on, SystemDueRow.grace_days
    asked = select(*keys, func.count()).where(*_which(scope, which, on_date)).group_by(*keys)
    return [(row[0], row[1], row[2]) for row in session.execute(asked)]


def _which(scope: Scope, which: DueFilter, on_date: date) -> list[Any]:
    narrow = scope.narrowed(which.firm_id, which.jurisdiction_id)
    conditions = narrow.conditions(SystemDueRow.firm_id, SystemDueRow.jurisdiction_id)
    return [*conditions, *filtered(which, on_date)]
