"""Backups of a store that is in use, each verified by opening it, and the way back."""

import tempfile
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from registry.errors import FileError, StoreError
from registry.exports.fresh_file import fresh_file
from registry.records.backups import backup_name, to_thin_out
from registry.services.copy_store import copy_in, copy_out, not_the_store
from registry.services.look_after_store import StoreCheck, check_store
from registry.store import Store, open_store
from registry.store.migrate import revision, upgrade
from registry.store.sqlite_file import copy_file_in, copy_file_out, is_sqlite

type Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was made: what its check found, and which old ones went."""

    path: Path
    found: StoreCheck
    removed: tuple[Path, ...] = ()


def back_up(store: Store, path: Path, now: datetime, tell: Tell = lambda _: None) -> Backup:
    """Back a store up while it is in use: an SQLite file, or of a PostGIS store a copy (zip).

    The backup is opened and checked as ``store check`` does before it takes its name; a copy is
    brought into a store of its own for that. What the check finds is told, not refused: a store
    with a fault in it needs a backup too.

    Raises
    ------
    FileError
        If the file cannot be written; nothing is left of it then.
    """
    not_the_store(store, path)
    if store.dialect != "sqlite":
        copy_out(store, path, now, tell)
        tell("verifying")
        return Backup(path, _check_copy(path))
    with fresh_file(path) as part:
        copy_file_out(store, part)
        tell("verifying")
        with closing(open_store(f"sqlite:///{part}")) as copy:
            return Backup(path, check_store(copy))


def back_up_into(
    store: Store,
    folder: Path,
    now: datetime,
    *,
    keep_daily: int,
    keep_monthly: int,
    tell: Tell = lambda _: None,
) -> Backup:
    """Back a store up into a folder under a name with the date, then thin out older backups there.

    Nothing is thinned out where the new backup's check found a problem.

    Raises
    ------
    FileError
        If the folder cannot be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as wrong:
        raise FileError(f"The folder {folder.name} cannot be made: {wrong.strerror}.") from wrong
    ending = "sqlite" if store.dialect == "sqlite" else "zip"
    made = back_up(store, folder / backup_name(now, ending), now, tell)
    if made.found.problems:
        return made
    names = [one.name for one in folder.iterdir() if one.is_file()]
    removed = [folder / name for name in to_thin_out(names, keep_daily, keep_monthly)]
    for one in removed:
        one.unlink(missing_ok=True)
    return Backup(made.path, made.found, tuple(removed))


def restore(store: Store, path: Path, tell: Tell = lambda _: None) -> StoreCheck:
    """Fill a place where no store was made yet, or an empty store, from a backup; then check it.

    Raises
    ------
    FileError
        If the file is no backup, is damaged, or was made by a newer program.
    StoreError
        If there is something in the store, or it is of another kind than the backup.
    """
    try:
        is_file = is_sqlite(path)
    except OSError as wrong:
        raise FileError(f"{path.name} cannot be read: {wrong.strerror}. Name a backup.") from wrong
    if not is_file:
        copy_in(store, path, tell)
    elif store.dialect != "sqlite":
        raise StoreError(
            f"{path.name} is the backup of an SQLite store. Restore it to an SQLite file, and take "
            "it from there with store copy-out and store copy-in."
        )
    elif revision(store):
        raise StoreError(
            "There is a store in this place already. Name a new file, or move the old one away."
        )
    else:
        copy_file_in(path, store)
        upgrade(store)
    return check_store(store)


def _check_copy(path: Path) -> StoreCheck:
    """Bring a copy into a store that is thrown away, and check that."""
    with (
        tempfile.TemporaryDirectory(prefix=".riserway-", dir=path.parent) as folder,
        closing(open_store(f"sqlite:///{folder}/check.sqlite")) as scratch,
    ):
        copy_in(scratch, path)
        return check_store(scratch)
