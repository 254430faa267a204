"""Letting the database count its rows, so that it plans by what is there."""

from sqlalchemy import text

from registry.store.opening import Store


def tidy(store: Store) -> None:
    """Gather statistics, and on PostgreSQL clear away old row versions; after much was written."""
    if store.dialect == "postgresql":
        with store.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("VACUUM ANALYZE"))
        return
    with store.engine.begin() as connection:
        connection.execute(text("ANALYZE"))
