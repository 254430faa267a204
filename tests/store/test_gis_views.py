"""A desktop GIS that reads PostGIS itself sees what its sign-in may see, and nothing past that.

Everything is asked as the database role, over a connection of its own.
"""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import psycopg
import pytest
from click.testing import CliRunner
from sqlalchemy import text

from registry.cli.store_views import views as command
from registry.errors import AccessError, NotFoundError, StoreError
from registry.records.changes import Role, Viewer
from registry.records.features import FLOOD_FLAGS, FeatureQuery
from registry.services.features import collections_for, features_page
from registry.services.gis_views import clear_the_way, drop_views, list_views, make_views
from registry.services.look_after_store import upgrade_store
from registry.services.recompute_due import recompute_due
from registry.store import Store, open_store
from registry.store.migrate import downgrade
from registry.store.revisions import newest, revision
from registry.store.tables import Base, FloodFactRow
from registry.store.users import add_user
from tests.store.due_rows import county, house, visit
from tests.store.rows import NOW

ROLE = "gis_clerk"
ON: date = datetime.now(UTC).date()
CLERK = Viewer(name="clerk", role=Role.COUNTY, jurisdiction_ids=(1,))
OFFICE = Viewer(name="office", role=Role.DISPATCHER, firm_id=1)
HANDS = Viewer(name="hands", role=Role.TECHNICIAN, firm_id=1)
PRIVATE = {
    name: f"planted {name}"
    for name in ("gate_code", "gate_note", "private_note", "note", "owner_name")
}

pytestmark = pytest.mark.postgis
type Ask = Callable[..., list[tuple[Any, ...]]]


@pytest.fixture
def store(postgis_url: str) -> Iterator[Store]:
    """Three holding tanks in each of two counties; two firms serve both."""
    opened = open_store(postgis_url)
    with opened.session() as session:
        county(session)
        for number in range(1, 7):
            place = {"jurisdiction_id": 1 if number < 4 else 2, "firm_id": 1 + number % 2}
            house(session, number, "holding tank", site=PRIVATE | place)
            visit(session, number, ON - timedelta(days=405 - 10 * number), ("pump-out", "alarm"))
        session.add(FloodFactRow(site_id=2, zone="AE", in_hazard_area=True, below_bfe=True))
        session.flush()
        recompute_due(session, ON)
        for viewer in (CLERK, OFFICE, HANDS):
            add_user(session, viewer, password_hash="-", session_key=viewer.name, now=NOW)  # noqa: S106
    yield opened
    opened.close()


@pytest.fixture
def as_role(store: Store, postgis_url: str) -> Iterator[Ask]:
    """Ask the database as the role ``gis_clerk``; it is gone after the test."""
    with store.engine.begin() as admin:
        admin.execute(text(f"DROP ROLE IF EXISTS {ROLE}"))
        admin.execute(text(f"CREATE ROLE {ROLE} LOGIN"))
    url = store.engine.url
    where = f"host={url.query['host']} port=5432 user={ROLE} dbname={url.database}"

    def ask(sql: str) -> list[tuple[Any, ...]]:
        with psycopg.connect(where, autocommit=True) as connection:
            return connection.execute(sql.encode()).fetchall()

    yield ask
    with store.engine.begin() as admin:
        admin.execute(text(f"DROP OWNED BY {ROLE} CASCADE"))
        admin.execute(text(f"DROP SCHEMA IF EXISTS {ROLE} CASCADE"))
        admin.execute(text(f"DROP ROLE {ROLE}"))


def test_a_clerks_role_sees_its_county_and_no_private_word(store: Store, as_role: Ask) -> None:
    made = make_views(store, ROLE, "clerk")
    assert made.views == ("flood_flags", "overdue", "systems", "visits")
    assert as_role("SELECT DISTINCT jurisdiction FROM systems") == [("Own County",)]
    assert as_role("SELECT site FROM systems ORDER BY id") == [("S-1",), ("S-2",), ("S-3",)]
    for view in made.views:
        assert "planted" not in str(as_role(f"SELECT v.*, v::text FROM {view} v"))  # noqa: S608 - our names
    named = as_role("SELECT column_name FROM information_schema.columns WHERE table_schema = user")
    assert {one[0] for one in named}.isdisjoint({*PRIVATE, "owner_phone", "access_note"})


@pytest.mark.parametrize("viewer", [CLERK, OFFICE], ids=["clerk", "office"])
def test_a_view_gives_what_the_collection_gives(store: Store, as_role: Ask, viewer: Viewer) -> None:
    make_views(store, ROLE, viewer.name)
    for collection in collections_for(viewer):
        names = [one.name for one in collection.columns]
        with store.reading() as session:
            page = features_page(session, viewer, collection, FeatureQuery(), ON)
        wanted = [(one.id, *one.values.values()) for one in page.features]
        listed = ", ".join(f'"{one}"' for one in names)
        found = as_role(f"SELECT id, {listed} FROM {collection.id.replace('-', '_')} ORDER BY id")  # noqa: S608
        assert [tuple(map(plain, row)) for row in found] == [
            tuple(map(plain, row)) for row in wanted
        ]
        assert len(wanted) == (1 if collection.id == FLOOD_FLAGS.id else 3)


def plain(value: object) -> object:
    return float(value) if isinstance(value, Decimal) else value


def test_past_its_views_a_role_reads_and_writes_nothing(as_role: Ask, store: Store) -> None:
    make_views(store, ROLE, "clerk")
    tables = [*Base.metadata.tables, "due_grid", "alembic_version"]
    for sql in (
        *(f"TABLE public.{name}" for name in tables),
        "SELECT gate_code FROM public.site",
        "UPDATE systems SET town = 'x' RETURNING id",
        "DELETE FROM visits RETURNING id",
        f"CREATE VIEW {ROLE}.mine AS SELECT 1",
        "CREATE TABLE public.mine (a int)",
        f"ALTER VIEW {ROLE}.systems RESET (security_barrier)",
        "SET ROLE postgres",
    ):
        with pytest.raises(psycopg.Error, match=r"permission denied|must be owner|cannot"):
            as_role(sql)


def test_a_readers_own_condition_does_not_look_at_hidden_rows(store: Store, as_role: Ask) -> None:
    """Without a security barrier the division fails on a hidden row and so tells that it is there.

    PostgreSQL 15, section 41.5 "Rules and Privileges".
    """
    make_views(store, ROLE, "clerk")
    asked = "SELECT count(*) FROM systems WHERE 1 / (CASE site WHEN 'S-5' THEN 0 ELSE 1 END) = 1"
    assert as_role(asked) == [(3,)]


def test_a_block_or_another_county_holds_at_once(store: Store, as_role: Ask) -> None:
    make_views(store, ROLE, "clerk")
    count = "SELECT count(*) FROM systems"
    with store.engine.begin() as admin:
        admin.execute(
            text(
                "INSERT INTO user_jurisdiction SELECT id, 2 FROM user_account WHERE name = 'clerk'"
            )
        )
    assert as_role(count) == [(6,)]
    with store.engine.begin() as admin:
        admin.execute(text("UPDATE user_account SET role = 'dispatcher' WHERE name = 'clerk'"))
    assert as_role(count) == [(0,)]
    with store.engine.begin() as admin:
        admin.execute(text("UPDATE user_account SET role = 'county', active = false"))
    assert as_role(count) == [(0,)]


def test_gdal_reads_a_view_with_its_places(store: Store, as_role: Ask) -> None:
    make_views(store, ROLE, "clerk")
    found = as_role("SELECT type, srid FROM geometry_columns WHERE f_table_name = 'systems'")
    assert found == [("POINT", 4326)]
    assert as_role("SELECT round(ST_X(geom)::numeric, 2) FROM systems WHERE id = 1") == [
        (Decimal("-97.29"),)
    ]


def test_views_are_there_again_after_a_migration(store: Store, as_role: Ask) -> None:
    make_views(store, ROLE, "clerk")
    clear_the_way(store)
    downgrade(store, "0015")
    upgrade_store(store)
    assert revision(store) == newest()
    assert as_role("SELECT count(*) FROM systems") == [(3,)]


def test_what_gets_no_views_is_told_why(store: Store, as_role: Ask) -> None:
    for role, sign_in, kind, says in (
        (ROLE, "nobody", NotFoundError, "no sign-in named nobody"),
        (ROLE, "hands", AccessError, "may not read features"),
        ("postgres", "clerk", StoreError, "may read everything anyway"),
        ("not_there", "clerk", StoreError, "CREATE ROLE not_there LOGIN"),
        ('x"; DROP TABLE site; --', "clerk", StoreError, "small letters"),
        ("public", "clerk", StoreError, "no database role"),
    ):
        with pytest.raises(kind, match=says):
            make_views(store, role, sign_in)
    assert list_views(store) == []
    with pytest.raises(NotFoundError, match="has no views"):
        drop_views(store, ROLE)


def test_a_role_that_may_read_a_table_itself_gets_no_views(store: Store, as_role: Ask) -> None:
    with store.engine.begin() as admin:
        admin.execute(text("GRANT SELECT (gate_code) ON site TO PUBLIC"))
    with pytest.raises(StoreError, match="may read the table site itself"):
        make_views(store, ROLE, "clerk")


def test_the_command_makes_lists_and_drops(store: Store, as_role: Ask, postgis_url: str) -> None:
    def told(*words: str) -> str:
        done = CliRunner().invoke(command, [*words, "--store", postgis_url])
        assert done.exit_code == 0, done.output
        return done.output

    assert "as clerk may see them" in told(ROLE, "--as", "clerk")
    assert f"{ROLE} " in told()
    told(ROLE, "--drop")
    assert told() == "None.\n"
    assert as_role("SELECT count(*) FROM pg_namespace WHERE nspname = user") == [(0,)]
