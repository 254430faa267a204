"""A store that a benchmark fills, and clears again."""

from collections.abc import Iterator
from contextlib import contextmanager

from registry.errors import StoreError
from registry.store import Store
from registry.store.migrate import downgrade, revision, upgrade


@contextmanager
def scratch(store: Store, *, keep: bool = False) -> Iterator[None]:
    """Migrate an empty place, and take it down to nothing at the end unless it is kept.

    Raises
    ------
    StoreError
        If there is anything in the store.
    """
    if revision(store):
        raise StoreError(
            "This store is not empty, and the benchmark would fill and then clear it. Name a new "
            "file or an empty database."
        )
    upgrade(store)
    try:
        yield
    finally:
        if not keep:
            downgrade(store, "base")
