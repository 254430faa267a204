"""Filling an empty store from a copy: COPY on PostGIS, one statement for many rows on SQLite."""

import secrets
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import psycopg
import shapely
from sqlalchemy import inspect, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from registry.errors import StoreError
from registry.records.copies import Column, Table
from registry.store.bulk import NULL, escaped, ewkb
from registry.store.drift import POSTGIS_ONLY
from registry.store.due_write import make_grid
from registry.store.whole import MADE_AFRESH, STAY_BEHIND

type Rows = Iterable[list[tuple[Any, ...]]]

_ON_SQLITE: Mapping[str, Callable[[Any], Any]] = {
    "date": lambda value: value.isoformat(),
    "moment": lambda value: value.replace(tzinfo=None).isoformat(" ", "microseconds"),
}
"""Kind → a value as SQLite keeps it, where that is not the value itself."""

_IN_COPY: Mapping[str, Callable[[Any], str]] = {
    "integer": str,
    "number": repr,
    "yes or no": str,
    "date": lambda value: value.isoformat(),
    "moment": lambda value: value.isoformat(),
    "geometry": lambda value: ewkb(shapely.from_wkb(value)),
    "bytes": lambda value: "\\\\x" + value.hex(),
}
"""Kind → a value as COPY's text has it; texts and JSON are escaped."""


def fits(session: Session, tables: Iterable[Table]) -> str:
    """Return why a copy's tables are not those of the store, empty when they are."""
    looked = inspect(session.connection())
    there = set(looked.get_table_names()) - STAY_BEHIND
    there -= {"alembic_version", "spatial_ref_sys", "due_grid"}
    named = {one.name for one in tables}
    if there != named:
        odd = sorted(there ^ named)
        return f"table {odd[0]} is {'missing' if odd[0] in there else 'not known'}"
    for one in tables:
        stored = {
            column["name"]
            for column in looked.get_columns(one.name)
            if (one.name, column["name"]) not in MADE_AFRESH | POSTGIS_ONLY
        }
        odd = sorted(stored ^ {column.name for column in one.columns})
        if odd:
            said = "is missing" if odd[0] in stored else "is not known"
            return f"column {odd[0]} of table {one.name} {said}"
    return ""


def load_rows(session: Session, table: Table, rows: Rows) -> None:
    """Put the rows of a copy into a table that is empty, key for key.

    Raises
    ------
    StoreError
        If the database does not take them.
    """
    fresh = sorted(name for of, name in MADE_AFRESH if of == table.name)
    filled = Table(table.name, (*table.columns, *(Column(name, "text") for name in fresh)))
    if fresh:
        rows = ([(*row, *(secrets.token_hex(16) for _ in fresh)) for row in part] for part in rows)
    with said_plainly(f"The store does not take table {table.name} of the copy"):
        if session.get_bind().dialect.name == "postgresql":
            _copy(session, filled, rows)
        else:
            _insert(session, filled, rows)


def begin_loading(session: Session) -> None:
    """Let rows come before those that they point at, until the transaction ends."""
    if session.get_bind().dialect.name == "sqlite":
        session.execute(text("PRAGMA defer_foreign_keys = on"))


def end_loading(session: Session, tables: Iterable[Table]) -> None:
    """Let new rows be numbered after those of the copy, and count what the map shows."""
    if session.get_bind().dialect.name != "postgresql":
        return
    for one in tables:
        if Column("id", "integer") in one.columns:
            session.execute(
                text(
                    f"SELECT setval(pg_get_serial_sequence('{one.name}', 'id'), max(id)) "  # noqa: S608 - a name that fits() found in the store
                    f'FROM "{one.name}" HAVING max(id) IS NOT NULL'
                )
            )
    make_grid(session)


@contextmanager
def said_plainly(what: str) -> Iterator[None]:
    """Turn what a database refuses into one sentence, without any value of a row."""
    try:
        yield
    except (DBAPIError, psycopg.Error) as wrong:
        cause = wrong.orig if isinstance(wrong, DBAPIError) else wrong
        told = cause.diag.message_primary if isinstance(cause, psycopg.Error) else str(cause)
        reason = (told or "no reason given").partition("\n")[0].rstrip(".")
        raise StoreError(f"{what}: {reason}. Nothing was kept.") from wrong


def _insert(session: Session, table: Table, rows: Rows) -> None:
    names = ", ".join(f'"{one.name}"' for one in table.columns)
    marks = ", ".join("?" * len(table.columns))
    statement = f'INSERT INTO "{table.name}" ({names}) VALUES ({marks})'  # noqa: S608 - names that fits() found in the store
    connection = session.connection()
    for part in rows:
        columns = list(zip(*part, strict=True))
        for at, one in enumerate(table.columns):
            write = _ON_SQLITE.get(one.kind)
            if write:
                columns[at] = tuple(None if v is None else write(v) for v in columns[at])
        connection.exec_driver_sql(statement, list(zip(*columns, strict=True)))


def _copy(session: Session, table: Table, rows: Rows) -> None:
    names = ", ".join(f'"{one.name}"' for one in table.columns)
    connection: Any = session.connection().connection.driver_connection
    with (
        connection.cursor() as cursor,
        cursor.copy(f'COPY "{table.name}" ({names}) FROM STDIN') as out,
    ):
        for part in rows:
            columns = [
                _texts(one.kind, values)
                for one, values in zip(table.columns, zip(*part, strict=True), strict=True)
            ]
            out.write("\n".join(map("\t".join, zip(*columns, strict=True))) + "\n")


def _texts(kind: str, values: tuple[Any, ...]) -> list[str]:
    if kind in {"text", "json"}:
        return escaped(values)
    write = _IN_COPY[kind]
    return [NULL if one is None else write(one) for one in values]
