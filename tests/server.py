"""A real ``riserway serve`` process for tests, on a free loopback port, ended by its own id."""

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

COMMAND = Path(sys.executable).with_name("riserway")
START_PATIENCE_S = 60
END_PATIENCE_S = 20
ADDRESS = re.compile(r"answers on (https?://127\.0\.0\.1:\d+)/")


@dataclass(frozen=True)
class Server:
    """A running server: where it answers, what it has printed, which process it is."""

    url: str
    log: Path
    process: int


@contextmanager
def served(store_url: str, folder: Path, *options: str) -> Iterator[Server]:
    """Serve a store's pages until the block ends.

    Parameters
    ----------
    store_url
        The store, migrated.
    folder
        Where road networks, base maps and the server's secret are kept.
    options
        More options of the command, such as ``--on 2026-06-15``.
    """
    folder.mkdir(parents=True, exist_ok=True)
    log = folder / "server.log"
    with log.open("w") as written:
        process = subprocess.Popen(
            [COMMAND, "serve", "--host", "127.0.0.1", "--port", "0", *options],
            env={**os.environ, "RISERWAY_STORE": store_url, "RISERWAY_FOLDER": str(folder)},
            stdin=subprocess.DEVNULL,
            stdout=written,
            stderr=written,
        )
    try:
        yield Server(_address(process, log), log, process.pid)
    finally:
        process.terminate()
        try:
            process.wait(END_PATIENCE_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _address(process: "subprocess.Popen[bytes]", log: Path) -> str:
    """Return where the server answers, once it says so."""
    give_up = time.monotonic() + START_PATIENCE_S
    while not (said := ADDRESS.search(log.read_text())):
        if process.poll() is not None or time.monotonic() > give_up:
            raise RuntimeError(f"The server does not start:\n{log.read_text()}")
        time.sleep(0.05)
    return said[1]
