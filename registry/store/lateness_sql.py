"""Overdue, as a condition that both databases answer from an index."""

from datetime import date, timedelta
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Date,
    Integer,
    SQLColumnExpression,
    Text,
    and_,
    cast,
    func,
    literal,
    or_,
    type_coerce,
)
from sqlalchemy.orm import Session


def overdue(
    session: Session,
    due_on: SQLColumnExpression[Any],
    grace_days: SQLColumnExpression[Any],
    on_date: date,
    late_days: int = 0,
) -> ColumnElement[bool]:
    """Return the condition that a due date and its days of grace passed more than some days ago."""
    before = on_date - timedelta(days=late_days)
    if session.get_bind().dialect.name == "postgresql":
        in_time = due_on + grace_days < before
    else:
        back = literal("-") + cast(grace_days, Text) + literal(" days")
        in_time = due_on < func.date(before.isoformat(), back)
    return and_(due_on < before, or_(grace_days == 0, in_time))


def in_horizon(
    session: Session,
    due_on: SQLColumnExpression[Any],
    horizon_days: SQLColumnExpression[Any],
    on_date: date,
    longest_days: int,
) -> ColumnElement[bool]:
    """Return the condition that a due date lies within its own horizon after a date.

    ``longest_days`` bounds every horizon, so that an index on the due date narrows the search.
    """
    bound = due_on <= on_date + timedelta(days=longest_days)
    if session.get_bind().dialect.name == "postgresql":
        days_ahead = type_coerce(due_on - literal(on_date, Date), Integer)
        return and_(bound, days_ahead <= horizon_days)
    ahead = literal("+") + cast(horizon_days, Text) + literal(" days")
    return and_(bound, due_on <= func.date(on_date.isoformat(), ahead))
