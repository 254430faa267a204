"""A check of a store finds what does not hang together."""

import pytest
from sqlalchemy import text

from registry.store import Store, visits
from registry.store.soundness import problems_in, site_count
from tests.store import rows


def test_a_sound_store_has_no_problems(store: Store) -> None:
    with store.session() as session:
        visits.record_visit(session, rows.visit("v1", rows.site(session)))
    with store.reading() as session:
        assert site_count(session) == 1
        assert problems_in(session) == []


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        ("UPDATE site SET lon = NULL", "1 sites have half a position"),
        ("DELETE FROM system", "1 sites have no system"),
        ("UPDATE system SET kind = 'spaceship'", "1 systems are of a kind"),
    ],
)
def test_what_is_wrong_is_told(store: Store, harm: str, said: str) -> None:
    with store.session() as session:
        rows.site(session)
        session.execute(text(harm))
    with store.reading() as session:
        assert any(said in one for one in problems_in(session))


def test_a_position_that_is_none_is_told(sqlite_url: str) -> None:
    """PostGIS refuses it, since it makes a geometry of it."""
    from registry.store import open_store

    store = open_store(sqlite_url)
    with store.session() as session:
        rows.site(session)
        session.execute(text("UPDATE site SET lat = 95"))
    with store.reading() as session:
        assert "1 sites have a position that is no longitude" in problems_in(session)[0]
    store.close()


def test_a_row_that_points_nowhere_is_told(sqlite_url: str) -> None:
    from registry.store import open_store

    store = open_store(sqlite_url)
    with store.session() as session:
        rows.site(session)
    with store.engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert raw is not None
        raw.execute("PRAGMA foreign_keys=off")
        raw.execute("UPDATE site SET firm_id = 99")
        raw.execute("PRAGMA foreign_keys=on")
    with store.reading() as session:
        assert "point at rows that are not there, in site" in " ".join(problems_in(session))
    store.close()
