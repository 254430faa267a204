"""A private PostgreSQL with PostGIS for one test run: no port, no root, gone when the run ends.

The first test that needs it starts a keeper (``python -m tests.cluster FOLDER PID``), which starts
the server and stops it when it is told to, or when the test run's own process is gone for whatever
reason. The server listens on a socket in FOLDER alone.
"""

import os
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from types import FrameType
from typing import Any

from tests.once import once

START_PATIENCE_S = 60
"""How long a start may take on a machine that is busy with other things."""
_numbers = count(1)


def programs() -> Path | None:
    """Return the folder of the newest PostgreSQL programs that come with PostGIS, None if none."""
    found = sorted(
        Path("/usr/lib/postgresql").glob("*/bin"),
        key=lambda folder: [int(part) for part in folder.parent.name.split(".") if part.isdigit()],
    )
    elsewhere = shutil.which("pg_config")
    if elsewhere:
        found.insert(0, Path(_ask(elsewhere, "--bindir")))
    return next((folder for folder in reversed(found) if _has_postgis(folder)), None)


def _has_postgis(folder: Path) -> bool:
    if not all((folder / name).exists() for name in ("initdb", "postgres", "pg_config")):
        return False
    shared = Path(_ask(str(folder / "pg_config"), "--sharedir"))
    return (shared / "extension" / "postgis.control").exists()


def _ask(program: str, question: str) -> str:
    said = subprocess.run([program, question], capture_output=True, text=True, check=True)
    return said.stdout.strip()


@dataclass(frozen=True)
class Cluster:
    """A running server; ``folder`` holds its socket."""

    folder: Path

    def url(self, database: str) -> str:
        """Return the SQLAlchemy URL of a database."""
        return f"postgresql+psycopg://postgres@/{database}?host={self.folder}&port=5432"

    def run(self, sql: str, database: str = "postgres") -> None:
        """Run one statement outside a transaction."""
        import psycopg

        where = f"host={self.folder} port=5432 user=postgres dbname={database}"
        with psycopg.connect(where, autocommit=True) as connection:
            connection.execute(sql.encode())

    def new_database(self, template: str) -> str:
        """Return the name of a new database, a copy of the template."""
        name = f"test_{os.getpid()}_{next(_numbers)}"
        self.run(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return name

    def drop(self, name: str) -> None:
        """Remove a database, whoever is still connected."""
        self.run(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def cluster_of_run(run_folder: Path, owner: int) -> Cluster:
    """Return the cluster of a test run, started by the first process that asks.

    Parameters
    ----------
    run_folder
        The folder that all processes of the run share.
    owner
        Process id of the run; the server ends with it.
    """
    return Cluster(once(run_folder, "pg", lambda folder: _start(folder, owner)))


def _start(folder: Path, owner: int) -> None:
    """Start a keeper and return when its server has a database ``bare`` with PostGIS in it."""
    import psycopg

    folder.mkdir()
    with (folder.parent / "pg.log").open("w") as log:
        subprocess.run(
            [sys.executable, "-m", "tests.cluster", str(folder), str(owner)],
            cwd=Path(__file__).parent.parent,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,  # Ctrl-C is for the tests, not for their server
            check=True,
        )
    keeper = int((folder.parent / "pg.keeper").read_text())
    cluster = Cluster(folder)
    give_up = time.monotonic() + START_PATIENCE_S
    while True:
        try:
            cluster.run("SELECT 1")
            break
        except psycopg.OperationalError:
            if wait_for_the_end_of(keeper, 0) or time.monotonic() > give_up:
                said = (folder.parent / "pg.log").read_text()
                raise RuntimeError(f"The tests' PostgreSQL does not start:\n{said}") from None
            time.sleep(0.05)
    cluster.run("CREATE DATABASE bare")
    cluster.run("CREATE EXTENSION postgis", "bare")


def stop(run_folder: Path) -> None:
    """Stop the cluster of a test run, if it was started, and wait for its end."""
    known = run_folder / "pg.keeper"
    if not known.exists():
        return
    keeper = int(known.read_text())
    try:
        os.kill(keeper, signal.SIGTERM)
    except ProcessLookupError:
        return
    wait_for_the_end_of(keeper, START_PATIENCE_S)


def wait_for_the_end_of(process: int, patience_s: float | None = None) -> bool:
    """Return True when a process has ended, False when patience has."""
    try:
        handle = os.pidfd_open(process)  # exact: not fooled by a number that is used again
    except ProcessLookupError:
        return True
    except (AttributeError, OSError):  # not Linux
        return _watch(process, patience_s)
    try:
        return bool(select.select([handle], [], [], patience_s)[0])
    finally:
        os.close(handle)


def _watch(process: int, patience_s: float | None) -> bool:
    give_up = None if patience_s is None else time.monotonic() + patience_s
    while True:
        try:
            os.kill(process, 0)
        except ProcessLookupError:
            return True
        if give_up is not None and time.monotonic() >= give_up:
            return False
        time.sleep(0.5)


def _server_account(folder: Path) -> dict[str, Any]:
    """Return how to start a program as PostgreSQL's own account, as the server refuses root."""
    if os.geteuid() != 0:
        return {}
    import pwd

    account = pwd.getpwnam("postgres")
    os.chown(folder, account.pw_uid, account.pw_gid)
    return {"user": account.pw_uid, "group": account.pw_gid, "extra_groups": []}


def keep(folder: Path, owner: int) -> None:
    """Run a server in a folder until told to end or until the owner has ended; leave nothing."""

    def told(_signal: int, _frame: FrameType | None) -> None:
        raise SystemExit

    signal.signal(signal.SIGTERM, told)
    try:
        server = _serve(folder)
        try:
            wait_for_the_end_of(owner)
        finally:
            server.send_signal(signal.SIGINT)  # "fast": ends open connections
            server.wait()
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if wait_for_the_end_of(owner, 0):  # a run that crashed could not remove its folder
            shutil.rmtree(folder.parent, ignore_errors=True)


def _serve(folder: Path) -> "subprocess.Popen[bytes]":
    """Make a new cluster below a folder and start its server."""
    bin_folder = programs()
    if bin_folder is None:
        raise SystemExit("No PostgreSQL with PostGIS is installed.")
    account = _server_account(folder)
    make = [bin_folder / "initdb", "-D", folder / "d", "-U", "postgres", "-A", "trust"]
    make += ["-E", "UTF8", "--no-locale", "--no-sync", "--no-instructions"]
    subprocess.run(make, check=True, cwd=folder, **account)
    settings = {
        "listen_addresses": "",
        "port": "5432",
        "unix_socket_directories": str(folder),
        "fsync": "off",
        "full_page_writes": "off",
        "synchronous_commit": "off",
        "autovacuum": "off",  # tests see the plans that the program's own ANALYZE gives
        "jit": "off",
        "max_connections": "200",
    }
    options = [word for name, value in settings.items() for word in ("-c", f"{name}={value}")]
    return subprocess.Popen(
        [bin_folder / "postgres", "-D", folder / "d", *options], cwd=folder, **account
    )


def new_run_folder() -> Path:
    """Return a new folder for one test run; its path is short, as a socket's path must be.

    Folders of runs that were killed before they could clean up are removed by the next run.
    """
    for old in Path(tempfile.gettempdir()).glob("rw-*/owner"):
        try:
            if wait_for_the_end_of(int(old.read_text()), 0):
                shutil.rmtree(old.parent, ignore_errors=True)
        except (OSError, ValueError):  # another user's, or being made or removed just now
            continue
    folder = Path(tempfile.mkdtemp(prefix="rw-"))
    (folder / "owner").write_text(str(os.getpid()))
    folder.chmod(0o711)  # the server's own account must pass through
    return folder


if __name__ == "__main__":
    if sys.argv[1:] == ["--there"]:
        sys.exit(0 if programs() else 1)
    keeper = os.fork()  # the one who asked goes on at once and has no child to look after
    if keeper:
        Path(sys.argv[1]).with_suffix(".keeper").write_text(str(keeper))
    else:
        keep(Path(sys.argv[1]), int(sys.argv[2]))
