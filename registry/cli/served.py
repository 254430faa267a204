"""Servers of a scratch store for the benchmarks, each a process of its own; sums of times."""

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from registry.errors import ConfigError

ADDRESS = re.compile(r"answers on (http://127\.0\.0\.1:\d+)/")
START_PATIENCE_S = 60


@contextmanager
def served(store: str, folder: Path, *words: str, number: int = 1) -> Iterator[str]:
    """Yield the address of a server of a store, and stop it at the end.

    Parameters
    ----------
    store
        As an SQLAlchemy URL.
    folder
        Of the installation: servers of one folder know each other's sign-ins.
    words
        Further options of ``riserway serve``.
    number
        Tells the logs of several servers of one folder apart.

    Raises
    ------
    ConfigError
        If the server does not start.
    """
    log = folder / f"server-{number}.log"
    told = {**os.environ, "RISERWAY_STORE": store, "RISERWAY_FOLDER": str(folder)}
    with log.open("w") as written:
        process = subprocess.Popen(  # noqa: S603 - our own command, no shell
            [sys.executable, "-m", "registry.cli.main", "serve", "--port", "0", *words],
            env=told,
            stdin=subprocess.DEVNULL,
            stdout=written,
            stderr=written,
        )
    try:
        give_up = time.monotonic() + START_PATIENCE_S
        while not (said := ADDRESS.search(log.read_text())):
            if process.poll() is not None or time.monotonic() > give_up:
                raise ConfigError(f"The server did not start: {log.read_text()[-300:]}")
            time.sleep(0.05)
        yield said[1]
    finally:
        process.terminate()
        process.wait()


def spread_of(took: Sequence[float]) -> dict[str, float]:
    """Return the middle, the 95th of a hundred, and the longest."""
    if not took:
        return {"p50": 0.0, "p95": 0.0, "most": 0.0}
    ranked = sorted(took)
    return {
        "p50": round(ranked[len(ranked) // 2], 1),
        "p95": round(ranked[min(len(ranked) - 1, round(0.95 * len(ranked)))], 1),
        "most": round(ranked[-1], 1),
    }
