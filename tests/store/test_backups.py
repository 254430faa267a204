"""A backup is made while the store is written to, is verified by opening it, and leads back."""

import json
import resource
import shutil
import stat
import subprocess
import threading
import urllib.request
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from registry.errors import FileError, StoreError
from registry.records.backups import backup_name
from registry.services.back_up import back_up, back_up_into, restore
from registry.store import Store, open_store, whole
from registry.store.migrate import newest
from tests.demo import Demo
from tests.server import COMMAND, Server
from tests.store import rows


def sites(store: Store) -> list[str]:
    with store.reading() as session:
        return list(session.scalars(text("SELECT key FROM site ORDER BY key")))


def test_a_backup_restores_the_store(store: Store, bare_store_url: str, tmp_path: Path) -> None:
    with store.session() as session:
        rows.site(session, "A-1")
    made = back_up(store, tmp_path / "backup", rows.NOW)
    assert made.found.problems == []
    assert made.found.sites == 1
    assert stat.S_IMODE(made.path.stat().st_mode) == 0o600
    with closing(open_store(bare_store_url)) as fresh:
        assert restore(fresh, made.path).problems == []
        assert sites(fresh) == sites(store) == ["A-1"]
        with pytest.raises(StoreError, match=r"a store in this place already|only into an empty"):
            restore(fresh, made.path)


def test_writers_go_on_while_a_backup_is_made(store: Store, tmp_path: Path) -> None:
    """Each backup holds what was committed before it began, and no half of anything."""
    ended = threading.Event()
    written: list[int] = []

    def write() -> None:
        while not ended.is_set():
            with store.session() as session:
                rows.site(session, f"A-{len(written):05}")
            written.append(1)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(3):
            before = len(written)
            made = back_up(store, tmp_path / f"backup-{number}", rows.NOW)
            assert made.found.problems == []
            assert before <= made.found.sites <= len(written) + 1
    finally:
        ended.set()
        writer.join()
    assert len(sites(store)) == len(written)


def test_the_county_is_backed_up_while_it_is_served(
    demo: Demo, serve: Callable[..., Server], tmp_path: Path
) -> None:
    server = serve(demo.store_url, demo.folder)
    done = subprocess.run(
        [COMMAND, "store", "backup", "county.sqlite", "--store", demo.store_url, "--json"],
        cwd=tmp_path,
        capture_output=True,
        check=True,
    )
    assert json.loads(done.stdout)["problems"] == []
    with urllib.request.urlopen(f"{server.url}/sign-in") as page:  # noqa: S310 - our own server
        assert page.status == 200
    with closing(open_store(f"sqlite:///{tmp_path / 'restored.sqlite'}")) as fresh:
        assert restore(fresh, tmp_path / "county.sqlite").revision == newest()
        with closing(open_store(demo.store_url)) as store, store.reading() as one:
            for table in whole.tables():
                with fresh.reading() as other:
                    assert whole.count_of(other, table) == whole.count_of(one, table)


def test_old_backups_are_thinned_out_and_other_files_stay(store: Store, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    for day in range(1, 60):
        (folder / backup_name(rows.NOW - timedelta(days=day), "zip")).touch()
    (folder / "county.sqlite").touch()
    made = back_up_into(store, folder, rows.NOW, keep_daily=3, keep_monthly=2)
    left = sorted(one.name for one in folder.iterdir())
    assert len(made.removed) == 59 - 3
    assert left == sorted(
        {
            "county.sqlite",
            made.path.name,
            *(backup_name(rows.NOW - timedelta(days=day), "zip") for day in (1, 2)),
            "riserway-20260531T120000Z.zip",
        }
    )


def test_a_damaged_store_is_backed_up_and_told_and_nothing_is_thinned_out(
    store: Store, tmp_path: Path
) -> None:
    with store.session() as session:
        rows.site(session, "A-1")
        session.execute(text("DELETE FROM system"))
    old = [tmp_path / backup_name(rows.NOW - timedelta(days=day), "zip") for day in (1, 2)]
    for one in old:
        one.touch()
    made = back_up_into(store, tmp_path, rows.NOW, keep_daily=1, keep_monthly=0)
    assert made.found.problems == ["1 sites have no system."]
    assert all(one.exists() for one in [made.path, *old])


@pytest.mark.parametrize("command", ["copy-out", "backup"])
def test_a_full_disk_is_said_and_leaves_no_half_file_and_the_old_one(
    command: str, demo: Demo, tmp_path: Path
) -> None:
    """The size that a process may write is limited, which the system refuses as a full disk is."""
    (tmp_path / "file").write_text("the older one", encoding="utf-8")

    def little_room() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))

    shutil.copy(demo.folder / "county.sqlite", tmp_path / "store.sqlite")
    done = subprocess.run(
        [COMMAND, "store", command, "file", "--store", "sqlite:///store.sqlite"],
        cwd=tmp_path,
        preexec_fn=little_room,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2, done.stderr
    assert "Traceback" not in done.stderr
    assert "Make room" in done.stderr
    assert (tmp_path / "file").read_text(encoding="utf-8") == "the older one"
    assert {one.name for one in tmp_path.iterdir() if "store.sqlite" not in one.name} >= {"file"}
    assert not [one for one in tmp_path.iterdir() if ".part" in one.name]


@pytest.mark.parametrize("body", [b"", b"holiday", b"SQLite format 3\0" + bytes(50)])
def test_a_file_that_is_no_backup_is_refused(body: bytes, tmp_path: Path) -> None:
    (tmp_path / "odd").write_bytes(body)
    with (
        closing(open_store(f"sqlite:///{tmp_path / 'fresh.sqlite'}")) as fresh,
        pytest.raises((FileError, StoreError), match=r"no copy of a registry|not restored"),
    ):
        restore(fresh, tmp_path / "odd")


@pytest.mark.postgis
def test_the_file_of_another_kind_of_store_says_the_way(
    sqlite_url: str, postgis_url: str, tmp_path: Path
) -> None:
    with closing(open_store(sqlite_url)) as store:
        back_up(store, tmp_path / "one.sqlite", rows.NOW)
    with closing(open_store(postgis_url)) as store, pytest.raises(StoreError, match="copy-out"):
        restore(store, tmp_path / "one.sqlite")
