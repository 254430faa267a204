"""Bringing a store to the newest revision, and saying at which one it is."""

from importlib.resources import files
from pathlib import Path

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from registry.errors import StoreError
from registry.store.opening import Store


def migrations_folder() -> Path:
    """Return the folder of the migrations: in the wheel, or beside the packages in a checkout."""
    inside = Path(str(files("registry"))) / "_inside" / "migrations"
    return inside if inside.is_dir() else Path(str(files("registry"))).parent / "migrations"


def _config(store: Store) -> Config:
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    config.attributes["engine"] = store.engine
    return config


def newest() -> str:
    """Return the newest revision that this program knows."""
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    return ScriptDirectory.from_config(config).get_current_head() or ""


def known_revisions() -> set[str]:
    """Return every revision that this program knows."""
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    return {one.revision for one in ScriptDirectory.from_config(config).walk_revisions()}


def revision(store: Store) -> str:
    """Return the revision of a store, empty when nothing was made in it yet."""
    with store.engine.execution_options(write=False).connect() as connection:
        return MigrationContext.configure(connection).get_current_revision() or ""


def upgrade(store: Store, to: str = "head") -> str:
    """Migrate a store up and return its revision.

    Raises
    ------
    StoreError
        If the store was made by a newer program.
    """
    _refuse_newer(store)
    command.upgrade(_config(store), to)
    return revision(store)


def downgrade(store: Store, to: str) -> str:
    """Migrate a store down, ``base`` for empty, and return its revision."""
    command.downgrade(_config(store), to)
    return revision(store)


def require_newest(store: Store) -> None:
    """Raise StoreError unless the store is at the newest revision."""
    at = revision(store)
    if at == "":
        raise StoreError("There is no store here yet. Make one with: riserway store create.")
    _refuse_newer(store)
    if at != newest():
        raise StoreError("The store is older than this program. Run: riserway store upgrade.")


def drift(store: Store) -> list[str]:
    """Return the differences between the models and the store, empty when there are none."""
    from registry.store.drift import options  # late: it imports every table
    from registry.store.tables import Base

    with store.engine.execution_options(write=False).connect() as connection:
        context = MigrationContext.configure(connection, opts=options())
        return [str(one) for one in compare_metadata(context, Base.metadata)]


def _refuse_newer(store: Store) -> None:
    at = revision(store)
    if at and at not in known_revisions():
        raise StoreError(
            f"The store is at revision {at}, which this program does not know. Use a newer program."
        )
