"""The migrations go up, down and up again, and leave the store as the models say, on both kinds."""

from registry.store import open_store
from registry.store.migrate import downgrade, drift, newest, revision, upgrade
from registry.store.tables import Base


def test_up_down_and_up_leaves_no_drift(bare_store_url: str) -> None:
    from sqlalchemy import inspect

    store = open_store(bare_store_url)
    assert revision(store) == ""
    assert upgrade(store) == newest()
    assert drift(store) == []
    assert downgrade(store, "base") == ""
    left = set(inspect(store.engine).get_table_names()) & set(Base.metadata.tables)
    assert left == set()
    assert upgrade(store) == newest()
    assert drift(store) == []
    store.close()
