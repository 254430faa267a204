"""Alembic's entry: one chain of migrations for SQLite and PostGIS."""

from alembic import context

from registry.config import settings
from registry.store.drift import options
from registry.store.opening import open_store
from registry.store.tables import Base

LOCK_KEY = 7_230_114  # any number of our own: one migrator at a time

engine = context.config.attributes.get("engine") or open_store(settings().store_url).engine
with engine.connect() as connection:
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql("SET lock_timeout = '10s'")
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({LOCK_KEY})")
    context.configure(connection=connection, target_metadata=Base.metadata, **options())
    with context.begin_transaction():
        context.run_migrations()
    connection.commit()
