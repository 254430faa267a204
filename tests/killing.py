"""Stores to be harmed, and processes that are killed at a random moment of their work."""

import os
import random
import signal
import subprocess
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.server import COMMAND

if TYPE_CHECKING:
    from registry.store import Store
    from tests.cluster import Cluster

KINDS = ("sqlite", pytest.param("postgis", marks=pytest.mark.postgis))
"""Both kinds of store, for a test that names its kind."""
PATIENCE_S = 300
"""How long a command that nobody kills may take."""
TRIES = 3
"""So many times more often at most than it is to be killed a command is begun."""


@dataclass
class Places:
    """Gives fresh stores, each a copy of a model that was made before; SQLite or PostGIS."""

    folder: Path
    cluster: "Cluster | None"
    migrated: str
    """A closed store in which nothing is kept yet."""

    def __post_init__(self) -> None:
        self._numbers = count(1)
        self._made: list[str] = []

    def bare(self) -> str:
        """Return a place where no store was made yet."""
        if self.cluster is None:
            return f"sqlite:///{self.folder / f'{next(self._numbers)}.sqlite'}"
        return self._database("bare")

    def like(self, model: str) -> str:
        """Return a copy of a closed store."""
        if self.cluster is not None:
            return self._database(model.partition("@/")[2].partition("?")[0])
        fresh = self.folder / f"{next(self._numbers)}.sqlite"
        fresh.write_bytes(Path(model.removeprefix("sqlite:///")).read_bytes())
        return f"sqlite:///{fresh}"

    def give_back(self, url: str) -> None:
        """Remove a store that is closed."""
        if self.cluster is not None:
            self.cluster.drop(url.partition("@/")[2].partition("?")[0])
            return
        for end in ("", "-wal", "-shm"):
            Path(url.removeprefix("sqlite:///") + end).unlink(missing_ok=True)

    def close(self) -> None:
        """Remove all databases that were given."""
        for name in self._made:
            if self.cluster is not None:
                self.cluster.drop(name)

    def _database(self, template: str) -> str:
        assert self.cluster is not None
        self._made.append(self.cluster.new_database(template))
        return self.cluster.url(self._made[-1])


@dataclass
class Moments:
    """Random moments at which to kill, until a command was killed ``many`` times."""

    many: int
    seed: int = 7
    killed: int = 0

    def within(self, whole_s: float, from_s: float = 0.4) -> Iterator[float]:
        """Yield how long to wait each time; whoever is done sooner was not killed, and is again."""
        chance = random.Random(self.seed)  # noqa: S311 - moments, not secrets
        for _ in range(TRIES * self.many):
            if self.killed >= self.many:
                return
            yield from_s + max(whole_s - from_s, 0.2) * chance.random()


@dataclass(frozen=True)
class Ended:
    """How a command ended: killed, or with an exit code and what it printed."""

    code: int
    out: str
    err: str

    @property
    def was_killed(self) -> bool:
        """Whether we ended it."""
        return self.code == -signal.SIGKILL


def ran(
    url: str, words: Sequence[object], folder: Path, *, kill_after_s: float | None = None
) -> Ended:
    """Run ``riserway`` over a store, and kill it after a time if it is not done by then."""
    process = subprocess.Popen(
        [COMMAND, *map(str, words)],
        cwd=folder,
        env={**os.environ, "RISERWAY_STORE": url, "RISERWAY_FOLDER": str(folder)},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        out, err = process.communicate(timeout=kill_after_s or PATIENCE_S)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        out, err = process.communicate()
    return Ended(process.returncode, out, err)


def time_of(url: str, words: Sequence[object], folder: Path) -> float:
    """Return how long a command takes when nobody kills it. [s]"""
    began = time.monotonic()
    done = ran(url, words, folder)
    assert done.code == 0, done.err
    return time.monotonic() - began


@contextmanager
def opened(url: str) -> "Iterator[Store]":
    """Open a store for a look at it."""
    from registry.store import open_store

    store = open_store(url)
    try:
        yield store
    finally:
        store.close()


def problems(url: str) -> list[str]:
    """Return what ``riserway store check`` finds."""
    from registry.services.look_after_store import check_store

    with opened(url) as store:
        return check_store(store).problems


def rows_by_table(url: str) -> dict[str, str]:
    """Return a digest of all rows of each table of a store at the newest revision."""
    from registry.store import whole

    found = {}
    with opened(url) as store, store.reading() as session:
        whole.hold_still(session)
        for table in whole.tables():
            digest = sha256()
            for part in whole.rows_of(session, table):
                digest.update(repr(part).encode())
            found[table.name] = digest.hexdigest()
    return found
