"""The whole file of an SQLite store, copied while others write, by SQLite's own online backup."""

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from registry.errors import FileError, StoreError
from registry.store.opening import Store

MAGIC = b"SQLite format 3\0"
"""The first bytes of a database file (https://www.sqlite.org/fileformat.html, section 1.3)."""


def is_sqlite(path: Path) -> bool:
    """Tell whether a file begins as an SQLite database does."""
    with path.open("rb") as file:
        return file.read(len(MAGIC)) == MAGIC


def copy_file_out(store: Store, path: Path) -> None:
    """Copy the store as it is at one moment to a file; a writer neither waits nor is seen.

    Raises
    ------
    StoreError
        If SQLite cannot read the store or write the copy.
    """
    with store.engine.connect() as connection, closing(sqlite3.connect(path)) as copy:
        own: Any = connection.connection.driver_connection
        _back_up(own, copy, "The store is not backed up")


def copy_file_in(path: Path, store: Store) -> None:
    """Put the file of a backup in the place of a store that is empty.

    Raises
    ------
    FileError
        If the file cannot be read.
    StoreError
        If SQLite cannot write the store.
    """
    try:
        backup = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)
    except sqlite3.Error as wrong:
        raise FileError(f"{path.name} does not open: {wrong}. Take another backup.") from wrong
    with closing(backup), store.engine.connect() as connection:
        own: Any = connection.connection.driver_connection
        _back_up(backup, own, "The backup is not restored")


def _back_up(source: sqlite3.Connection, target: sqlite3.Connection, failed: str) -> None:
    try:
        source.backup(target)
    except sqlite3.Error as wrong:
        raise StoreError(f"{failed}: {wrong}. Make room, or name another file.") from wrong
