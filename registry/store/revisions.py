"""At which revision a store is, and which ones this program knows.

Asked at the start of every command, so it does without the tool that migrates, which takes longer
to come up than many commands need in all; a test compares the answers with that tool's.
"""

import re
from importlib.resources import files
from pathlib import Path

from sqlalchemy import inspect, text

from registry.errors import StoreError
from registry.store.opening import Store

TABLE = "alembic_version"
SAID = re.compile(r'^(revision|down_revision) = "(\w+)"', re.MULTILINE)


def migrations_folder() -> Path:
    """Return the folder of the migrations: in the wheel, or beside the packages in a checkout."""
    inside = Path(str(files("registry"))) / "_inside" / "migrations"
    return inside if inside.is_dir() else Path(str(files("registry"))).parent / "migrations"


def newest() -> str:
    """Return the newest revision that this program knows.

    Raises
    ------
    StoreError
        If the migrations don't form one chain, as in a broken installation.
    """
    said = _said()
    heads = known_revisions() - {one for what, one in said if what == "down_revision"}
    if len(heads) != 1:
        raise StoreError(
            f"The program's migrations end in {len(heads)} places instead of one "
            f"({', '.join(sorted(heads)) or 'none is there'}). Install the program again."
        )
    return heads.pop()


def known_revisions() -> set[str]:
    """Return every revision that this program knows."""
    return {one for what, one in _said() if what == "revision"}


def revision(store: Store) -> str:
    """Return the revision of a store, empty when nothing was made in it yet."""
    with store.engine.execution_options(write=False).connect() as connection:
        if not inspect(connection).has_table(TABLE):
            return ""
        return connection.scalar(text(f"select version_num from {TABLE}")) or ""  # noqa: S608 - ours


def require_newest(store: Store) -> None:
    """Raise StoreError unless the store is at the newest revision."""
    at = revision(store)
    if at == "":
        raise StoreError("There is no store here yet. Make one with: riserway store create.")
    refuse_newer(store)
    if at != newest():
        raise StoreError("The store is older than this program. Run: riserway store upgrade.")


def refuse_newer(store: Store) -> None:
    """Raise StoreError if a store is at a revision that this program does not know."""
    at = revision(store)
    if at and at not in known_revisions():
        raise StoreError(
            f"The store is at revision {at}, which this program does not know. Use a newer program."
        )


def _said() -> list[tuple[str, str]]:
    """Return what the migrations say of themselves and of those that they follow."""
    folder = migrations_folder() / "versions"
    return [
        (what, one)
        for path in sorted(folder.glob("*.py"))
        for what, one in SAID.findall(path.read_text(encoding="utf-8"))
    ]
