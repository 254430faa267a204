"""The whole registry to one file and back, across SQLite and PostGIS."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from registry.errors import FileError, StoreError
from registry.exports.copy_file import CopyWriter, open_archive
from registry.exports.fresh_file import fresh_file
from registry.imports.copy_file import CopyReader, opened_copy
from registry.records.copies import CopyHead
from registry.store import Store, whole, whole_load
from registry.store.migrate import downgrade, known_revisions, newest, revision, upgrade
from registry.store.tidy import tidy

type Tell = Callable[[str], None]


def copy_out(store: Store, path: Path, now: datetime, tell: Tell = lambda _: None) -> CopyHead:
    """Write the whole registry as it is at one moment to one file; others may go on writing.

    Raises
    ------
    FileError
        If the file cannot be written; nothing is left of it then.
    StoreError
        If a value cannot be written so that every kind of store takes it back.
    """
    not_the_store(store, path)
    with fresh_file(path) as part, store.reading() as session:
        whole.hold_still(session)
        with open_archive(part) as archive:
            writer = CopyWriter(archive, path.parent)
            for table in whole.tables():
                tell(table.name)
                writer.add_table(table, whole.rows_of(session, table))
            return writer.finish(revision(store), now.isoformat(timespec="seconds"))


def copy_in(store: Store, path: Path, tell: Tell = lambda _: None) -> CopyHead:
    """Fill an empty store from a copy: all of it, verified, or nothing.

    A place where no store was made yet gets one at the copy's own revision, which is then brought
    to this program's.

    Raises
    ------
    FileError
        If the file is no copy, is damaged, or was made by a newer program.
    StoreError
        If there is something in the store, or it does not take what the copy holds.
    """
    with opened_copy(path) as copy:
        at = revision(store)
        _require_place(store, copy.head.revision, at)
        if at == "":
            upgrade(store, copy.head.revision)
        try:
            _load(store, copy, tell)
        except BaseException:
            if at == "":
                downgrade(store, "base")
            raise
        upgrade(store)
        tidy(store)
        return copy.head


def not_the_store(store: Store, path: Path) -> None:
    """Refuse to write over the store itself.

    Raises
    ------
    FileError
        If the path is the store's own file.
    """
    own = store.engine.url.database if store.dialect == "sqlite" else None
    if own and path.exists() and Path(own).exists() and path.samefile(own):
        raise FileError(f"{path.name} is the store itself. Name another file.")


def _require_place(store: Store, copied_at: str, at: str) -> None:
    if copied_at not in known_revisions():
        raise FileError(
            f"The copy is at revision {copied_at[:40]}, and this program knows no further than "
            f"{newest()}. Use a newer program."
        )
    if at == "":
        return
    if at in known_revisions() and at != newest():
        raise StoreError(f"The store is at revision {at}. Run: riserway store upgrade.")
    if at != copied_at:
        raise StoreError(
            f"The copy is at revision {copied_at}, and the store is at {at}. Name a new file or "
            "an empty database, where no store was made yet; the copy is brought up to date there."
        )
    with store.reading() as session:
        if not whole.is_empty(session):
            raise StoreError(
                "There is something in this store, and a copy is brought only into an empty one. "
                "Name a new file or an empty database."
            )


def _load(store: Store, copy: CopyReader, tell: Tell) -> None:
    """Put every table of a copy into the store in one transaction."""
    with (
        whole_load.said_plainly("The store does not take the copy"),
        store.session() as session,
    ):
        tables = [one.table for one in copy.head.tables]
        if wrong := whole_load.fits(session, tables):
            raise FileError(
                f"The copy does not fit revision {copy.head.revision}: {wrong}. Take another copy."
            )
        whole_load.begin_loading(session)
        for filled in copy.head.tables:
            tell(filled.table.name)
            whole_load.load_rows(session, filled.table, copy.rows(filled))
            if whole.count_of(session, filled.table) != filled.rows:
                raise StoreError(
                    f"Table {filled.table.name} does not hold {filled.rows:,} rows as the copy "
                    "does. Nothing was kept. Is somebody else writing to this store?"
                )
        whole_load.end_loading(session, tables)
