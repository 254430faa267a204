"""The store: tables, sessions, queries, change history. All SQL is here and in migrations/."""

from sqlalchemy.orm import Session

from registry.store.opening import Store, open_store

__all__ = ["Session", "Store", "open_store"]
