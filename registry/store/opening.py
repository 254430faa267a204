"""Opening a store: an engine that keeps every write, and sessions that commit or roll back."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DatabaseError, NoSuchModuleError, OperationalError
from sqlalchemy.orm import Session

from registry.errors import StoreError
from registry.store.append_only import guard


@dataclass(frozen=True)
class Store:
    """An opened store. ``session()`` writes, ``reading()`` only reads."""

    engine: Engine

    @property
    def dialect(self) -> str:
        """``sqlite`` or ``postgresql``."""
        return self.engine.dialect.name

    @contextmanager
    def session(self) -> Iterator[Session]:
        """Yield a session in one transaction: committed at the end, rolled back on any error."""
        with said_plainly(), Session(self.engine) as session, session.begin():
            yield session

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Yield a session that takes no write lock."""
        quiet = self.engine.execution_options(write=False)
        with said_plainly(), Session(quiet) as session, session.begin():
            yield session

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()


@contextmanager
def said_plainly() -> Iterator[None]:
    """Say in a sentence what hinders the database: no room, no right to write, it went away.

    Raises
    ------
    StoreError
        In place of the driver's error; the transaction is rolled back.
    """
    try:
        yield
    except OperationalError as wrong:
        raise StoreError(
            f"The store cannot do this now: {_first_line(wrong)} Nothing of it was kept. Look at "
            "the room on its disk, at who may write there, and whether the database runs; then "
            "try again."
        ) from wrong


def open_store(url: str) -> Store:
    """Open the store at an SQLAlchemy URL, SQLite or PostgreSQL with PostGIS.

    Raises
    ------
    StoreError
        If the URL is not one of the two kinds, or the database does not answer.
    """
    try:
        parsed = make_url(url)
        if parsed.get_backend_name() not in {"sqlite", "postgresql"}:
            raise StoreError(
                "A store is SQLite (sqlite:///file) or PostgreSQL (postgresql://…), "
                f"not {parsed.get_backend_name()}."
            )
        if parsed.get_backend_name() == "sqlite":
            engine = _sqlite(str(parsed), parsed.database)
        else:
            engine = create_engine(
                parsed.set(drivername="postgresql+psycopg"),
                pool_pre_ping=True,
                hide_parameters=True,  # they would stand in the log of a fault
                connect_args={"options": "-c jit=off -c timezone=UTC"},
            )
        with engine.connect():
            pass
    except (ArgumentError, NoSuchModuleError) as wrong:
        raise StoreError(
            "The store's address is not an SQLAlchemy URL. Write for example sqlite:///county.sqlite."
        ) from wrong
    except OperationalError as wrong:
        raise StoreError(f"The store does not open: {_first_line(wrong)}") from wrong
    except DatabaseError as wrong:
        raise StoreError(
            f"The store cannot be read: {_first_line(wrong)} Is it a store of this program?"
        ) from wrong
    return Store(engine)


def _first_line(wrong: DatabaseError) -> str:
    """Return what the driver said, without the statement or its parameters."""
    said = str(wrong.orig).strip().splitlines()
    return (said[0] if said else "no reason given").rstrip(".") + "."


def _sqlite(url: str, database: str | None) -> Engine:
    """Return an engine whose transactions begin IMMEDIATE when they write.

    The driver's own transactions lose updates without an error: of 4 processes that read then
    write 100 times, 104 of 400 changes survived; begun IMMEDIATE, all 400. Waiting is not in turn:
    on a disk busy with other things one of the four found the store locked for more than 15 s, so
    they may wait a minute.
    """
    if database and database != ":memory:":
        folder = Path(database).expanduser().resolve().parent
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as wrong:
            raise StoreError(
                f"The folder of the store cannot be made: {wrong.strerror}."
            ) from wrong
    engine = create_engine(url, hide_parameters=True)  # they would stand in the log of a fault

    @event.listens_for(engine, "connect")
    def _connect(connection: Any, _record: Any) -> None:  # noqa: ANN401 - the driver's own objects
        connection.isolation_level = None
        for pragma in (
            "busy_timeout=60000",
            "journal_mode=wal",
            "synchronous=full",
            "foreign_keys=on",
            "recursive_triggers=on",  # else a row that replaces another slips past its triggers
            "cache_size=-64000",
        ):
            connection.execute(f"pragma {pragma}").close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Any) -> None:  # noqa: ANN401
        writes = connection.get_execution_options().get("write", True)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    guard(engine)
    return engine
