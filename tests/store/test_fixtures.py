"""The stores that tests are given: fresh, migrated, one of each kind."""

from registry.store import open_store
from registry.store.migrate import newest, revision


def test_a_store_for_a_test_is_at_the_newest_revision(store, store_kind: str):
    assert revision(store) == newest()
    assert store.dialect == {"sqlite": "sqlite", "postgis": "postgresql"}[store_kind]


def test_nothing_was_made_in_a_bare_store(bare_store_url: str):
    opened = open_store(bare_store_url)
    assert revision(opened) == ""
    opened.close()
