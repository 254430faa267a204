"""A condition on the columns of a collection as the database asks it; every value is bound."""

import operator
from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import ColumnElement, SQLColumnExpression, and_, collate, false, not_, or_, true
from sqlalchemy.orm import Session

from registry.records.feature_filter import (
    Alike,
    All,
    Always,
    Compared,
    Condition,
    Either,
    Empty,
    Not,
    OneOf,
    Sign,
)

_SIGNS: Mapping[Sign, Callable[[Any, Any], ColumnElement[bool]]] = {
    "=": operator.eq,
    "<>": operator.ne,
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}


def holds(
    session: Session, condition: Condition, columns: Mapping[str, SQLColumnExpression[Any]]
) -> ColumnElement[bool]:
    """Return a condition in SQL; ``columns`` are those that it may look at, by name.

    Text is compared letter by letter on both databases, whatever the order of a language is.
    """
    found: ColumnElement[bool]
    match condition:
        case Compared(name, sign, value):
            column = columns[name]
            is_ordered_text = isinstance(value, str) and sign not in {"=", "<>"}
            if is_ordered_text and session.get_bind().dialect.name == "postgresql":
                column = collate(column, "C")
            found = _SIGNS[sign](column, value)
        case Alike(name, pattern):
            found = _alike(session, columns[name], pattern)
        case OneOf(name, values):
            found = columns[name].in_(values)
        case Empty(name):
            found = columns[name].is_(None)
        case Not(part):
            found = not_(holds(session, part, columns))
        case All(parts):
            found = and_(*(holds(session, one, columns) for one in parts))
        case Either(parts):
            found = or_(*(holds(session, one, columns) for one in parts))
        case Always(yes):
            found = true() if yes else false()
    return found


def _alike(session: Session, column: SQLColumnExpression[Any], pattern: str) -> ColumnElement[bool]:
    """Return LIKE that tells capitals apart; SQLite's own does not, but its GLOB does."""
    if session.get_bind().dialect.name == "postgresql":
        return column.like(_plain_escapes(pattern), escape="\\")
    return column.op("GLOB", is_comparison=True)(_as_glob(pattern))


def _signs(pattern: str) -> list[tuple[str, bool]]:
    """Return the signs of a pattern, and of each whether it is a wildcard."""
    found, escaped = [], False
    for sign in pattern:
        if sign == "\\" and not escaped:
            escaped = True
            continue
        found.append((sign, sign in "%_" and not escaped))
        escaped = False
    return [*found, ("\\", False)] if escaped else found


def _plain_escapes(pattern: str) -> str:
    return "".join(
        sign if is_wild else f"\\{sign}" if sign in "%_\\" else sign
        for sign, is_wild in _signs(pattern)
    )


def _as_glob(pattern: str) -> str:
    wild = {"%": "*", "_": "?"}
    return "".join(
        wild[sign] if is_wild else f"[{sign}]" if sign in "*?[" else sign
        for sign, is_wild in _signs(pattern)
    )
