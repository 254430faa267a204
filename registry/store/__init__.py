"""The store: tables, sessions, queries, change history. All SQL is here and in migrations/.

Its functions are in modules by subject: ``from registry.store import sites`` and ``sites.site(…)``.
"""

from sqlalchemy.orm import Session

from registry.store.history import Author
from registry.store.opening import Store, open_store

__all__ = ["Author", "Session", "Store", "open_store"]
