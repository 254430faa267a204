"""A condition on many values at once: one bound parameter, however many there are."""

import json
from collections.abc import Iterable
from typing import Any

from sqlalchemy import ARRAY, BigInteger, ColumnElement, Text, any_, bindparam, func, select
from sqlalchemy.orm import InstrumentedAttribute, Session


def among(
    session: Session, column: InstrumentedAttribute[Any], values: Iterable[int] | Iterable[str]
) -> ColumnElement[bool]:
    """Return the condition that a column holds one of the values.

    A list of bound parameters ends at 32,766 on SQLite and 65,535 on PostgreSQL; an array (or a
    JSON list) is one.
    """
    listed: list[Any] = list(values)
    if session.get_bind().dialect.name == "postgresql":
        kind = ARRAY(Text if isinstance(column.type, Text) else BigInteger)
        return column == any_(bindparam(None, listed, type_=kind))
    each = func.json_each(json.dumps(listed)).table_valued("value")
    return column.in_(select(each.c.value))
