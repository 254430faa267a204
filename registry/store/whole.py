"""The whole store, table by table, in rows of plain values: what a copy takes and gives back.

Neither side names a table: what the models hold is copied, so a new table is copied too.
"""

from collections.abc import Iterator
from typing import Any

import shapely
from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    ColumnElement,
    Date,
    Double,
    Integer,
    LargeBinary,
    Text,
    cast,
    collate,
    func,
    select,
    text,
)
from sqlalchemy import Column as StoredColumn
from sqlalchemy import Table as StoredTable
from sqlalchemy.orm import Session

from registry.errors import StoreError
from registry.records.copies import Column, Table
from registry.store.tables import Base
from registry.store.types import Geo, Moment

STAY_BEHIND = frozenset({"sign_in_try", "request_count", "pairing", "job"})
"""Tables of a running server: tries and requests it counts, codes it gave out, its work."""
MADE_AFRESH = frozenset({("user_account", "session_key")})
"""Columns that open a session; a copy leaves them out and the new store gets its own."""

_KINDS = (
    (Geo, "geometry"),
    (Moment, "moment"),
    (Date, "date"),
    (JSON, "json"),
    (LargeBinary, "bytes"),
    (Boolean, "yes or no"),
    (Double, "number"),
    (BigInteger, "integer"),
    (Integer, "integer"),
    (Text, "text"),
)


def tables() -> list[Table]:
    """Return all tables that are copied, each after those that it points at."""
    return [
        Table(
            one.name,
            tuple(
                Column(column.name, _kind(column))
                for column in one.columns
                if (one.name, column.name) not in MADE_AFRESH
            ),
        )
        for one in Base.metadata.sorted_tables
        if one.name not in STAY_BEHIND
    ]


def hold_still(session: Session) -> None:
    """Let a session see the store as it is now until its end, whatever others write meanwhile.

    It is the session's first statement. SQLite's reading transactions are like that anyway.
    """
    if session.get_bind().dialect.name == "postgresql":
        session.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"))


def rows_of(session: Session, table: Table) -> Iterator[list[tuple[Any, ...]]]:
    """Yield the rows of a table some at a time, ordered by their key the same on both kinds."""
    stored = Base.metadata.tables[table.name]
    asked = select(*(_asked(stored.c[one.name]) for one in table.columns))
    asked = asked.order_by(*_order(session, stored))
    shapes = [at for at, one in enumerate(table.columns) if one.kind == "geometry"]
    options = {"stream_results": True, "yield_per": table.step}
    for part in session.execute(asked, execution_options=options).partitions():
        rows = [tuple(row) for row in part]
        yield [_with_wkb(row, shapes) for row in rows] if shapes else rows


def is_empty(session: Session) -> bool:
    """Tell whether no table of the store holds a row."""
    return not any(
        session.execute(select(text("1")).select_from(one).limit(1)).first()
        for one in Base.metadata.sorted_tables
    )


def count_of(session: Session, table: Table) -> int:
    """Return how many rows a table has; the table may be one of an older revision."""
    counted = select(func.count()).select_from(text(f'"{table.name}"'))
    return session.scalar(counted) or 0


def _kind(column: StoredColumn[Any]) -> str:
    for known, kind in _KINDS:
        if isinstance(column.type, known):
            return kind
    raise StoreError(f"Copies do not know the kind of column {column.name}: {column.type!r}.")


def _asked(column: StoredColumn[Any]) -> ColumnElement[Any]:
    return cast(column, Text) if isinstance(column.type, JSON) else column


def _order(session: Session, stored: StoredTable) -> list[ColumnElement[Any]]:
    """Return the key's columns; texts by their code points, not as a language sorts them."""
    is_postgres = session.get_bind().dialect.name == "postgresql"
    return [
        collate(one, "C") if is_postgres and isinstance(one.type, Text) else one
        for one in stored.primary_key.columns
    ]


def _with_wkb(row: tuple[Any, ...], shapes: list[int]) -> tuple[Any, ...]:
    values = list(row)
    for at in shapes:
        if values[at] is not None:
            values[at] = shapely.to_wkb(values[at])
    return tuple(values)
