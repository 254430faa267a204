"""An erasure blanks personal columns of append-only tables, on both stores, and can do no more."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Delete, Update, delete, inspect, select, update
from sqlalchemy.exc import DBAPIError

from registry.errors import ConfigError, StoreError
from registry.records.changes import Role, Viewer
from registry.services.retention import keep_to, rules_in
from registry.store import Store, visits
from registry.store.append_only import PERSONAL, erase
from registry.store.retention import GONE, KINDS
from registry.store.tables import (
    Base,
    ChangeRow,
    ErasureRow,
    LetterRow,
    PrivateReadRow,
    ReadingRow,
    VisitRow,
)
from tests.docs.tables import rows as table_rows
from tests.store import rows

ADMIN = Viewer(name="an administrator", role=Role.ADMINISTRATOR)
NEVER: dict[str, Update | Delete] = {
    "change a reading's value": update(ReadingRow).where(ReadingRow.id != "").values(value=0.0),
    "change a visit's date with its note": update(VisitRow)
    .where(VisitRow.id != "")
    .values(note="", on_date=datetime(2020, 1, 1, tzinfo=UTC).date()),
    "delete a visit": delete(VisitRow).where(VisitRow.id != ""),
    "delete the history": delete(ChangeRow).where(ChangeRow.id > 0),
    "delete what was erased": delete(ErasureRow).where(ErasureRow.id > 0),
}


@pytest.mark.parametrize("what", NEVER)
def test_an_erasure_never_does_more(store: Store, what: str) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        visits.record_visit(session, rows.visit("v1", site_id))
        session.add(ErasureRow(at=rows.NOW, who="x", subject="x", reason="x", counts={}))
    with (
        pytest.raises((StoreError, DBAPIError), match="append-only"),
        store.session() as session,
    ):
        erase(session, NEVER[what])


@pytest.mark.parametrize("store_kind", ["sqlite"])  # PostgreSQL looks at rows, not at conditions
def test_an_erasure_says_which_rows_it_means(store: Store) -> None:
    with store.session() as session:
        visits.record_visit(session, rows.visit("v1", rows.site(session)))
        session.add(ErasureRow(at=rows.NOW, who="x", subject="x", reason="x", counts={}))
    everywhere = update(VisitRow).values(note="")
    with pytest.raises(StoreError, match="append-only"), store.session() as session:
        erase(session, everywhere)


def test_an_erasure_blanks_a_note_and_the_next_statement_is_refused_again(store: Store) -> None:
    with store.session() as session:
        visits.record_visit(session, rows.visit("v1", rows.site(session), note="private"))
    with store.session() as session:
        assert erase(session, update(VisitRow).where(VisitRow.id == "v1").values(note="")) == 1
    with store.reading() as session:
        assert session.scalar(select(VisitRow.note)) == ""
    with store.session() as session:
        erase(session, update(VisitRow).where(VisitRow.id == "v1").values(note=""))
        with pytest.raises((StoreError, DBAPIError), match="append-only"):
            session.execute(update(VisitRow).where(VisitRow.id == "v1").values(note="y"))


def test_every_personal_column_is_there_and_is_text(store: Store) -> None:
    there = inspect(store.engine)
    for table, columns in PERSONAL.items():
        assert set(columns) <= {one["name"] for one in there.get_columns(table)}
        assert all(
            str(Base.metadata.tables[table].c[one].type) in {"TEXT", "JSON"} for one in columns
        )


def test_retention_counts_then_takes_what_is_too_old_and_nothing_else(store: Store) -> None:
    now = rows.NOW
    old, young = now - timedelta(days=366 * 8), now - timedelta(days=366 * 2)
    with store.session() as session:
        site_id = rows.site(session)
        for at in (old, young):
            session.add(PrivateReadRow(at=at, who="x", role="dispatcher", what="day"))
            session.add(
                LetterRow(batch="b", site_id=site_id, sender="firm 1", sender_name="A firm",
                          body="x", written_on=at.date(), to_name="An Owner", to_address="x",
                          noted_at=at)
            )  # fmt: skip
            for field in ("gate_code", "parcel"):
                session.add(
                    ChangeRow(at=at, who="x", kind="site", row_id="1", site_id=site_id, field=field,
                              before="1", after="2")
                )  # fmt: skip
    rules = rules_in(None)
    with store.session() as session:
        for do in (False, False, True):
            told = keep_to(session, ADMIN, rules, now.date(), now, do=do)
            rows_of = {one.kind: one.rows for one in told}
            assert rows_of == dict.fromkeys(KINDS, 0) | {"reads": 1, "letters": 1, "history": 1}
        again = keep_to(session, ADMIN, rules, now.date(), now, do=True)
        assert not any(one.rows for one in again)
    with store.reading() as session:
        assert session.scalars(select(PrivateReadRow.at)).all() == [young]
        assert sorted(session.scalars(select(LetterRow.to_name))) == ["An Owner", GONE]
        kept = session.execute(select(ChangeRow.field, ChangeRow.before).order_by(ChangeRow.id))
        assert [(field, before) for field, before in kept if field in {"gate_code", "parcel"}] == [
            ("gate_code", GONE), ("parcel", "1"), ("gate_code", "1"), ("parcel", "1")
        ]  # fmt: skip
        noted = session.scalars(select(ErasureRow)).all()
        assert [one.counts for one in noted] == [{"reads": 1, "letters": 1, "history": 1}]


def test_the_rules_that_come_with_the_program_say_their_source_and_stand_in_the_document() -> None:
    rules = rules_in(None)
    assert {one.kind for one in rules} == KINDS.keys()
    assert all(one.source for one in rules)
    said = {
        row[0].strip("`"): (row[1], row[2]) for row in table_rows("docs/personal-data.md", "kind")
    }
    assert said == {one.kind: (str(one.years), one.says) for one in rules}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", 'must say format = "riserway-retention/1"'),
        ("[[", "cannot be read as TOML"),
        ("[keep.visits]\nyears = 1", "there is no such kind"),
        ("[keep.calls]\nyears = 1", "it needs says, years and source"),
        ('[keep.calls]\nsays = "x"\nsource = "x"\nyears = 0', "years is a whole number from 1"),
        ('[keep.calls]\nsays = "x"\nsource = ""\nyears = 2', "says and source are texts"),
    ],
)
def test_a_wrong_rule_is_told_with_its_kind(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "own.toml"
    head = 'format = "riserway-retention/1"\n' if text.startswith("[keep") else ""
    path.write_text(head + text)
    with pytest.raises(ConfigError, match=told.replace("[", r"\[")):
        rules_in(path)
