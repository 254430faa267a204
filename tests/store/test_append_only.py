"""Visits, readings and history are added to, never changed, on both stores."""

import sqlite3
from contextlib import closing

import pytest
from alembic.migration import MigrationContext
from alembic.operations import Operations
from sqlalchemy import Executable, delete, text, update
from sqlalchemy.exc import DBAPIError

from registry.errors import ConflictError, StoreError
from registry.store import Store, visits
from registry.store.append_only import unguarded
from registry.store.soundness import problems_in
from registry.store.tables import ChangeRow, ReadingRow, VisitRow, VisitTaskRow
from tests.store import rows

FORBIDDEN: dict[str, Executable] = {
    "update a reading": update(ReadingRow).values(value=0.0),
    "delete a reading": delete(ReadingRow),
    "update a visit": update(VisitRow).values(note="nothing happened"),
    "delete a visit's task": delete(VisitTaskRow),
    "delete the history": delete(ChangeRow),
    "update by hand": text("UPDATE reading SET value = 0"),
    "delete by hand": text('delete from "visit_task"'),
}


@pytest.mark.parametrize("what", FORBIDDEN)
def test_what_was_recorded_is_not_changed(store: Store, what: str) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        done = ((rows.system_of(session, site_id), "look"),)
        visits.record_visit(session, rows.visit("v1", site_id, done=done))
    with (
        pytest.raises((StoreError, DBAPIError), match="append-only"),
        store.session() as session,
    ):
        session.execute(FORBIDDEN[what])
    with store.session() as session:
        (kept,) = visits.visits_of_site(session, site_id)
        assert (kept.readings[0].value, kept.done) == (3.0, done)


def test_a_changed_object_is_refused_too(store: Store) -> None:
    with store.session() as session:
        visits.record_visit(session, rows.visit("v1", rows.site(session)))
    with (
        pytest.raises((StoreError, DBAPIError), match="append-only"),
        store.session() as session,
    ):
        session.get_one(VisitRow, "v1").note = "nothing happened"


def test_a_replacing_insert_is_refused(store: Store) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        visits.record_visit(session, rows.visit("v1", site_id))
    replacing = text(
        "INSERT INTO visit (id, site_id, on_date, technician, outcome, note, recorded_by, "
        "recorded_at) VALUES ('v1', :site, '2026-06-01', '', '', '', '', '2026-06-01') "
        "ON CONFLICT (id) DO UPDATE SET note = 'x'"
    )
    with (
        pytest.raises((StoreError, DBAPIError), match="append-only"),
        store.session() as session,
    ):
        session.execute(replacing, {"site": site_id})


@pytest.mark.parametrize("store_kind", ["sqlite"])
def test_another_program_cannot_change_what_was_recorded_either(store: Store) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        visits.record_visit(session, rows.visit("v1", site_id))
    file = store.engine.url.database or ""
    with closing(sqlite3.connect(file)) as other:
        for statement in (
            "UPDATE visit SET note = 'x'",
            "UPDATE reading SET value = 0",
            "DELETE FROM reading",
            "DELETE FROM change",
            "UPDATE change SET after = 'x'",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                other.execute(statement)
    with store.engine.connect() as connection:
        ours = connection.connection.driver_connection
        assert ours is not None
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            ours.execute(
                "REPLACE INTO visit (id, site_id, on_date, technician, outcome, note, recorded_by, "
                "recorded_at) VALUES ('v1', ?, '2026-06-01', '', '', '', '', '2026-06-01')",
                (site_id,),
            )


@pytest.mark.parametrize("store_kind", ["sqlite"])
def test_a_rebuilt_table_without_its_guard_is_told_by_the_check(store: Store) -> None:
    with store.session() as session:
        visits.record_visit(session, rows.visit("v1", rows.site(session)))
        operations = Operations(MigrationContext.configure(session.connection()))
        for table in ("system", "visit_settled"):
            with operations.batch_alter_table(table, recreate="always"):
                pass
    with store.reading() as session:
        assert unguarded(session) == ["visit_settled"]
        assert any("Table visit_settled is only added to" in one for one in problems_in(session))


def test_a_visit_sent_twice_is_stored_once(store: Store) -> None:
    with store.session() as session:
        visit = rows.visit("v1", rows.site(session))
        assert visits.record_visit(session, visit) is True
    with store.session() as session:
        assert visits.record_visit(session, visit) is False
        assert len(visits.visits_of_site(session, visit.site_id)) == 1


def test_another_visit_under_the_same_id_is_refused(store: Store) -> None:
    with store.session() as session:
        visit = rows.visit("v1", rows.site(session))
        visits.record_visit(session, visit)
        with pytest.raises(ConflictError):
            visits.record_visit(session, rows.visit("v1", visit.site_id, note="other"))


def test_a_correction_supersedes_and_keeps_the_original(store: Store) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        visits.record_visit(session, rows.visit("v1", site_id))
        mended = rows.reading("v2", site_id, id="r2", value=4.0, supersedes="v1-scum")
        visits.record_visit(session, rows.visit("v2", site_id, supersedes="v1", readings=(mended,)))
        assert [one.id for one in visits.visits_of_site(session, site_id)] == ["v2"]
        assert [one.value for one in visits.readings_of_site(session, site_id)] == [4.0]
        both = visits.visits_of_site(session, site_id, with_superseded=True)
        assert {one.id for one in both} == {"v1", "v2"}
        all_readings = visits.readings_of_site(session, site_id, with_superseded=True)
        assert {one.value for one in all_readings} == {3.0, 4.0}
