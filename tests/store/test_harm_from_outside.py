"""A full disk, a store that is read-only, a database that went away: a sentence, and no loss."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import event, text

from registry.errors import StoreError
from registry.store import Store, open_store
from registry.store.migrate import upgrade
from registry.store.revisions import require_newest
from registry.store.soundness import problems_in, site_count
from tests.store import rows


@contextmanager
def no_file_larger_than(size: int) -> Iterator[None]:
    """Let this process write no further than ``size`` bytes into any file, as on a full disk."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def kept(store: Store) -> int:
    with store.reading() as session:
        assert problems_in(session) == []
        return site_count(session)


def test_on_a_full_disk_a_sentence_says_so_and_what_was_kept_stays(sqlite_url: str) -> None:
    store = open_store(sqlite_url)
    with store.session() as session:
        rows.site(session, "A-1")
    size = Path(sqlite_url.removeprefix("sqlite:///")).stat().st_size

    def write_much() -> None:
        with store.session() as session:
            for number in range(2, 400):
                rows.site(session, f"A-{number}", address="x" * 4_000)

    said = r"(?s)cannot do this now.*Nothing of it was kept"
    with no_file_larger_than(size + 50_000), pytest.raises(StoreError, match=said):
        write_much()
    assert kept(store) == 1
    with store.session() as session:
        rows.site(session, "A-2")
    assert kept(store) == 2
    store.close()


def test_a_store_that_may_not_be_written_to_says_so_and_is_still_read(sqlite_url: str) -> None:
    store = open_store(sqlite_url)
    with store.session() as session:
        rows.site(session, "A-1")
    store.close()
    locked = open_store(sqlite_url)

    @event.listens_for(locked.engine, "checkout")
    def _only_read(connection: object, *_: object) -> None:
        connection.execute("PRAGMA query_only = on")  # type: ignore[attr-defined]  # sqlite3's

    with pytest.raises(StoreError, match="readonly database"), locked.session() as session:
        rows.site(session, "A-2")
    assert kept(locked) == 1
    locked.close()


@pytest.mark.postgis
def test_a_database_that_went_away_and_came_back_lost_nothing(postgis_url: str) -> None:
    store = open_store(postgis_url)
    with store.session() as session:
        rows.site(session, "A-1")
    other = open_store(postgis_url)

    def lose_the_database() -> None:
        ends = text(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE pid <> pg_backend_pid() AND datname = current_database()"
        )
        with store.session() as session:
            rows.site(session, "A-2")
            with other.engine.begin() as admin:
                admin.execute(ends)
            rows.site(session, "A-3")

    with pytest.raises(StoreError, match="cannot do this now"):
        lose_the_database()
    assert kept(store) == 1
    with store.session() as session:
        rows.site(session, "A-2")
    assert kept(store) == 2
    store.close()
    other.close()


def test_an_old_program_leaves_a_newer_store_alone(store: Store) -> None:
    with store.engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    for act in (require_newest, upgrade):
        with pytest.raises(
            StoreError, match=r"9999, which this program does not know\. Use a newer"
        ):
            act(store)


def test_two_servers_on_one_file_see_each_others_writes(sqlite_url: str) -> None:
    one, other = open_store(sqlite_url), open_store(sqlite_url)
    for number in range(4):
        for store in (one, other):
            with store.session() as session:
                rows.site(session, f"{id(store)}-{number}")
    assert kept(one) == kept(other) == 8
    one.close()
    other.close()
