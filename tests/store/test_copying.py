"""The whole registry goes to one file and back, across SQLite and PostGIS, and nothing is lost."""

import csv
import io
import json
import shutil
import sqlite3
import stat
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from registry.cli.endings import run_with_clear_endings
from registry.cli.main import cli
from registry.errors import FileError, StoreError
from registry.services.copy_store import copy_in, copy_out
from registry.store import Store, open_store, visits, whole
from registry.store.migrate import newest, revision, upgrade
from registry.store.soundness import problems_in
from tests.demo import Demo
from tests.store import rows

ODD = 'Gate "B", left\r\nthen \\N, =1+1 · ünï 🚰\t\\'


@pytest.fixture
def opened() -> Iterator[Callable[[str], Store]]:
    """Open stores that are closed at the end of the test."""
    stores: list[Store] = []

    def open_one(url: str) -> Store:
        stores.append(open_store(url))
        return stores[-1]

    yield open_one
    for one in stores:
        one.close()


def small(store: Store) -> None:
    """Fill a store with one site whose texts are odd, and a visit that corrects a later one."""
    with store.session() as session:
        site_id = rows.site(session, "A-1", address=ODD, gate_code="4711", owner_name="")
        visits.record_visit(session, rows.visit("z-first", site_id))
        correction = rows.visit("a-second", site_id, supersedes="z-first", note=ODD, readings=())
        visits.record_visit(session, correction)


def members(path: Path) -> dict[str, str]:
    """Return the SHA-256 of every member of a copy but the schema, which has the time in it."""
    with zipfile.ZipFile(path) as archive:
        return {
            one: sha256(archive.read(one)).hexdigest()
            for one in archive.namelist()
            if one != "schema.json"
        }


def pictures(path: Path) -> dict[str, bytes]:
    with closing(sqlite3.connect(path)) as store:
        return dict(store.execute("SELECT digest, body FROM photo_content"))


@pytest.mark.postgis
def test_the_county_comes_back_from_postgis_to_the_row_and_byte(
    demo: Demo, postgis_url: str, tmp_path: Path, opened: Callable[[str], Store]
) -> None:
    first, second, third = (tmp_path / f"{name}.zip" for name in ("first", "second", "third"))
    there, back = opened(postgis_url), opened(f"sqlite:///{tmp_path / 'back.sqlite'}")
    out = copy_out(opened(demo.store_url), first, rows.NOW)
    assert copy_in(there, first).counts == out.counts
    assert copy_out(there, second, rows.NOW).counts == out.counts
    assert copy_in(back, second).counts == out.counts
    copy_out(back, third, rows.NOW)

    assert out.counts["photo_content"] > 0
    assert out.counts["site"] > 100
    assert members(first) == members(second) == members(third)
    kept = pictures(demo.folder / "county.sqlite")
    assert pictures(tmp_path / "back.sqlite") == kept
    assert {sha256(body).hexdigest() for body in kept.values()} == set(kept)
    for store in (there, back):
        with store.reading() as session:
            assert problems_in(session) == []
    with opened(demo.store_url).engine.connect() as one, back.engine.connect() as other:
        for table in whole.tables():
            names = ", ".join(f'"{column.name}"' for column in table.columns)
            asked = text(f'SELECT {names} FROM "{table.name}" ORDER BY 1, 2')  # noqa: S608 - our names
            assert one.execute(asked).fetchall() == other.execute(asked).fetchall()


@pytest.mark.postgis
def test_the_map_of_a_postgis_store_counts_the_systems_that_came_in(
    demo: Demo, postgis_url: str, tmp_path: Path, opened: Callable[[str], Store]
) -> None:
    copy_out(opened(demo.store_url), tmp_path / "county.zip", rows.NOW)
    there = opened(postgis_url)
    copy_in(there, tmp_path / "county.zip")
    with there.reading() as session:
        counted = session.scalar(text("SELECT sum(n) FROM due_grid"))
        assert counted == session.scalar(text("SELECT count(cell) FROM system_due")) > 0


def test_new_rows_are_numbered_after_those_of_the_copy(
    store: Store, bare_store_url: str, tmp_path: Path, opened: Callable[[str], Store]
) -> None:
    small(store)
    copy_out(store, tmp_path / "one.zip", rows.NOW)
    fresh = opened(bare_store_url)
    copy_in(fresh, tmp_path / "one.zip")
    with fresh.session() as session:
        assert rows.site(session, "A-2") > rows.site(session, "A-1")
    with fresh.reading() as session:
        assert session.scalar(text("SELECT address FROM site WHERE key = 'A-1'")) == ODD
        assert session.scalar(text("SELECT owner_name FROM site WHERE key = 'A-1'")) == ""
        assert session.scalar(text("SELECT parcel IS NULL FROM site WHERE key = 'A-1'")) in {0}


def test_what_came_in_is_as_append_only_as_before(
    store: Store, bare_store_url: str, tmp_path: Path, opened: Callable[[str], Store]
) -> None:
    small(store)
    copy_out(store, tmp_path / "one.zip", rows.NOW)
    fresh = opened(bare_store_url)
    copy_in(fresh, tmp_path / "one.zip")
    with pytest.raises(Exception, match="append-only"), fresh.session() as session:
        session.execute(text("UPDATE visit SET note = 'other'"))


def test_passwords_travel_and_sessions_tries_and_pairings_do_not(
    demo: Demo, tmp_path: Path, opened: Callable[[str], Store]
) -> None:
    store = opened(demo.store_url)
    with store.session() as session:
        session.execute(
            text("INSERT INTO sign_in_try (subject, at) VALUES ('somebody', '2026-06-15 12:00:00')")
        )
    copy_out(store, tmp_path / "county.zip", rows.NOW)
    fresh = opened(f"sqlite:///{tmp_path / 'fresh.sqlite'}")
    copy_in(fresh, tmp_path / "county.zip")
    with store.reading() as old, fresh.reading() as new:
        asked = text("SELECT name, password_hash FROM user_account ORDER BY name")
        assert old.execute(asked).fetchall() == new.execute(asked).fetchall() != []
        keys = text("SELECT session_key FROM user_account")
        assert not set(old.scalars(keys)) & set(new.scalars(keys))
        assert new.scalar(text("SELECT count(*) FROM sign_in_try")) == 0
    with zipfile.ZipFile(tmp_path / "county.zip") as archive:
        whole_file = b"".join(map(archive.read, archive.namelist()))
    with store.reading() as old:
        for key in old.scalars(keys):
            assert key.encode() not in whole_file


def test_a_copy_is_for_its_owner_only_and_nothing_else_is_left(
    store: Store, tmp_path: Path
) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    small(store)
    copy_out(store, folder / "one.zip", rows.NOW)
    assert stat.S_IMODE((folder / "one.zip").stat().st_mode) == 0o600
    assert [one.name for one in folder.iterdir()] == ["one.zip"]


def test_a_store_with_something_in_it_is_left_as_it_is(store: Store, tmp_path: Path) -> None:
    small(store)
    copy_out(store, tmp_path / "one.zip", rows.NOW)
    with pytest.raises(StoreError, match="only into an empty one"):
        copy_in(store, tmp_path / "one.zip")


def test_a_copy_of_an_older_revision_is_brought_up_to_date_in_a_new_place(
    bare_store_url: str, tmp_path: Path, opened: Callable[[str], Store], store: Store
) -> None:
    """The copy is one of the revision before: its columns are those that the store had then."""
    older = as_older(store, tmp_path)
    fresh = opened(bare_store_url)
    copy_in(fresh, older)
    assert revision(fresh) == newest()
    with fresh.reading() as session:
        assert problems_in(session) == []
        assert session.scalar(text("SELECT count(*) FROM visit")) == 2
    with pytest.raises(StoreError, match="Name a new file"):
        copy_in(store, older)


def as_older(store: Store, folder: Path) -> Path:
    """Return a copy of a small store as the program of the first revision would have written it."""
    small(store)
    copy_out(store, folder / "new.zip", rows.NOW)
    old = open_store(f"sqlite:///{folder / 'old.sqlite'}")
    upgrade(old, "0001")
    with old.engine.connect() as connection:
        names = set(connection.scalars(text("SELECT name FROM sqlite_master WHERE type = 'table'")))
        known = {
            name: {one[1] for one in connection.execute(text(f"PRAGMA table_info({name})"))}
            for name in names
        }
    old.close()
    return edited(folder / "new.zip", folder / "older.zip", lambda s: _shrink(s, known))


def _shrink(schema: dict[str, Any], known: dict[str, set[str]]) -> dict[str, Any]:
    schema["revision"] = "0001"
    schema["tables"] = [one for one in schema["tables"] if one["name"] in known]
    for one in schema["tables"]:
        one["columns"] = [c for c in one["columns"] if c["name"] in known[one["name"]]]
    return schema


def edited(source: Path, to: Path, change: Callable[[dict[str, Any]], dict[str, Any]]) -> Path:
    """Write a copy again with another schema, its tables cut to the columns that it names."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(to, "w") as new:
        schema = change(json.loads(old.read("schema.json")))
        for one in schema["tables"]:
            lines = csv.DictReader(io.StringIO(old.read(one["file"]).decode(), newline=""))
            names = [column["name"] for column in one["columns"]]
            out = io.StringIO()
            writer = csv.writer(out)
            writer.writerow(names)
            writer.writerows([line[name] for name in names] for line in lines)
            new.writestr(one["file"], out.getvalue().encode())
            one["sha256"] = sha256(out.getvalue().encode()).hexdigest()
        new.writestr("schema.json", json.dumps(schema))
    return to


def test_a_copy_of_a_newer_program_is_refused(store: Store, tmp_path: Path) -> None:
    copy_out(store, tmp_path / "new.zip", rows.NOW)
    newer = edited(tmp_path / "new.zip", tmp_path / "newer.zip", lambda s: s | {"revision": "9999"})
    with pytest.raises(FileError, match="at revision 9999, and this program knows no further than"):
        copy_in(store, newer)


@pytest.fixture
def copied(migrated_sqlite: Path, tmp_path: Path) -> Path:
    """A copy of a small store."""
    shutil.copyfile(migrated_sqlite, tmp_path / "small.sqlite")
    with closing(open_store(f"sqlite:///{tmp_path / 'small.sqlite'}")) as store:
        small(store)
        copy_out(store, tmp_path / "one.zip", rows.NOW)
    return tmp_path / "one.zip"


def rewritten(path: Path, change: Callable[[str, bytes], bytes | None]) -> None:
    """Change or leave out members of a copy."""
    with zipfile.ZipFile(path) as old:
        bodies = {one: change(one, old.read(one)) for one in old.namelist()}
    with zipfile.ZipFile(path, "w") as new:
        for name, body in bodies.items():
            if body is not None:
                new.writestr(name, body)


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-200])


def holed(path: Path) -> None:
    body = bytearray(path.read_bytes())
    with zipfile.ZipFile(path) as archive:
        info = archive.getinfo("tables/visit.csv")
    begins = info.header_offset + 30 + len(info.filename) + 40
    body[begins : begins + 20] = bytes(20)
    path.write_bytes(bytes(body))


def other_words(path: Path) -> None:
    rewritten(path, lambda _, body: body.replace(b"4711", b"4712"))


def lost_row(path: Path) -> None:
    rewritten(
        path,
        lambda name, body: (
            body[: body.index(b"\r\n") + 2] if name.endswith("/system.csv") else body
        ),
    )


def lost_table(path: Path) -> None:
    rewritten(path, lambda name, body: None if name.endswith("/reading.csv") else body)


def foreign(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("holiday.txt", "not a registry")


def no_zip(path: Path) -> None:
    path.write_text("key,lon,lat\n", encoding="utf-8")


def bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("tables/bomb.csv", bytes(30_000_000))


def stranger(path: Path) -> None:
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("../outside.csv", "id\r\n")


def other_format(path: Path) -> None:
    rewritten(path, lambda _, body: body.replace(b"riserway-copy/1", b"riserway-copy/7"))


def no_schema(path: Path) -> None:
    rewritten(path, lambda name, body: b"[1, 2" if name == "schema.json" else body)


def bad_name(path: Path) -> None:
    rewritten(
        path,
        lambda name, body: (
            body.replace(b'"name": "visit"', b'"name": "visit; DROP TABLE site"')
            if name == "schema.json"
            else body
        ),
    )


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (cut, "only a part of one"),
        (holed, "tables/visit.csv is damaged"),
        (other_words, "tables/site.csv was changed"),
        (lost_row, "tables/system.csv has 0 rows, not 1"),
        (lost_table, "tables/reading.csv is missing"),
        (foreign, "no copy of a registry: it has no schema.json"),
        (no_zip, "is no copy of a registry"),
        (bomb, "zip bomb"),
        (stranger, "which schema.json does not name"),
        (other_format, "this program reads riserway-copy/1"),
        (no_schema, "cannot be understood"),
        (bad_name, "cannot be understood"),
        (Path.unlink, "There is no file one.zip here"),
    ],
)
def test_a_harmed_copy_is_refused_in_one_sentence_and_nothing_comes_in(
    harm: Callable[[Path], None],
    said: str,
    copied: Path,
    sqlite_url: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    harm(copied)
    code = run_with_clear_endings(cli, ["store", "copy-in", str(copied), "--store", sqlite_url])
    told = capsys.readouterr().err
    assert code == 2
    assert said in told
    assert len(told.splitlines()) == 1
    with closing(open_store(sqlite_url)) as store, store.reading() as session:
        assert whole.is_empty(session)


def test_a_place_without_a_store_is_without_one_after_a_refused_copy(
    copied: Path, bare_store_url: str, opened: Callable[[str], Store]
) -> None:
    other_words(copied)
    fresh = opened(bare_store_url)
    with pytest.raises(FileError, match="was changed"):
        copy_in(fresh, copied)
    assert revision(fresh) == ""


def test_a_row_that_points_nowhere_keeps_the_whole_copy_out(copied: Path, store: Store) -> None:
    def loosen(name: str, body: bytes) -> bytes | None:
        return body.split(b"\r\n")[0] + b"\r\n" if name == "tables/firm.csv" else body

    rewritten(copied, loosen)
    with zipfile.ZipFile(copied) as archive:
        digest = sha256(archive.read("tables/firm.csv")).hexdigest()
        schema = json.loads(archive.read("schema.json"))
    firm = next(one for one in schema["tables"] if one["name"] == "firm")
    firm["rows"], firm["sha256"] = 0, digest
    rewritten(
        copied, lambda name, body: json.dumps(schema).encode() if name == "schema.json" else body
    )
    with pytest.raises(StoreError, match=r"The store does not take .*Nothing was kept"):
        copy_in(store, copied)
    with store.reading() as session:
        assert whole.is_empty(session)


def test_a_text_with_nul_is_told_and_no_file_is_left(sqlite_url: str, tmp_path: Path) -> None:
    """SQLite keeps the character; PostgreSQL's manual, section 8.3, says that text never does."""
    with closing(open_store(sqlite_url)) as store:
        with store.session() as session:
            rows.site(session, "A-1", note="a\0b")
        with pytest.raises(StoreError, match=r"column note of table site, one of rows 1 to 1.*NUL"):
            copy_out(store, tmp_path / "one.zip", rows.NOW)
    assert not (tmp_path / "one.zip").exists()
    assert list(tmp_path.glob("*.part")) == list(tmp_path.glob(".*.part")) == []


def test_the_store_itself_is_not_written_over(sqlite_url: str) -> None:
    path = Path(sqlite_url.removeprefix("sqlite:///"))
    with (
        closing(open_store(sqlite_url)) as store,
        pytest.raises(FileError, match="is the store itself"),
    ):
        copy_out(store, path, rows.NOW)
