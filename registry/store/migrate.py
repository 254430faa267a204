"""Bringing a store to another revision, and comparing it with the models."""

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from sqlalchemy import text

from registry.errors import StoreError
from registry.store.opening import Store, said_plainly
from registry.store.revisions import (
    known_revisions,
    migrations_folder,
    newest,
    refuse_newer,
    revision,
)
from registry.store.tidy import tidy

__all__ = ["downgrade", "drift", "known_revisions", "newest", "revision", "upgrade"]


def upgrade(store: Store, to: str = "head") -> str:
    """Migrate a store up and return its revision.

    Raises
    ------
    StoreError
        If the store was made by a newer program, or its database has no PostGIS.
    """
    refuse_newer(store)
    _require_postgis(store)
    before = revision(store)
    with said_plainly():
        command.upgrade(_config(store), to)
    now = revision(store)
    if before not in {"", now}:
        tidy(store)  # of a new column nothing is known, and each question would look at every row
    return now


def downgrade(store: Store, to: str) -> str:
    """Migrate a store down, ``base`` for empty, and return its revision."""
    command.downgrade(_config(store), to)
    return revision(store)


def drift(store: Store) -> list[str]:
    """Return the differences between the models and the store, empty when there are none."""
    from registry.store.drift import options  # late: it imports every table
    from registry.store.tables import Base

    with store.engine.execution_options(write=False).connect() as connection:
        context = MigrationContext.configure(connection, opts=options())
        return [str(one) for one in compare_metadata(context, Base.metadata)]


def _require_postgis(store: Store) -> None:
    if store.dialect != "postgresql":
        return
    with store.engine.connect() as connection:
        there = connection.scalar(text("SELECT to_regtype('geometry') IS NOT NULL"))
    if not there:
        raise StoreError(
            "This database has no PostGIS. Connect to it as its administrator, run CREATE "
            "EXTENSION postgis; and try again."
        )


def _config(store: Store) -> Config:
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    config.attributes["engine"] = store.engine
    return config
