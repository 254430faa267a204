"""A process that owns an OSRM engine: started when first asked, started again once if it died.

It may be started before its network is there: to come up takes longer than to open a network, so
that a network made anew is read as soon as it is written.
"""

import subprocess
import sys
import tempfile
import threading
import weakref
from contextlib import suppress
from pathlib import Path
from typing import IO, Any

from registry.errors import RoadError
from registry.roads.osrm_pipe import Arrays, receive, send

TRIES = 2
PATIENCE_S = 5.0
"""How long the process may take to end by itself before it is ended."""


class OsrmProcess:
    """Asks an OSRM engine in another process, one question at a time from any thread."""

    def __init__(self, network: Path) -> None:
        self._network = network
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._end: weakref.finalize[..., OsrmProcess] | None = None
        self._is_open = False
        self._last_words = ""

    def start(self) -> None:
        """Start the process without waiting for it; its network need not be there yet."""
        with self._lock, suppress(OSError):  # the first question tells what is wrong
            self._started()

    def ask(self, what: str, places: list[list[float]]) -> Arrays:
        """Return the arrays that answer a question.

        Raises
        ------
        RoadError
            If the engine cannot be started, dies twice over the question, or refuses it.
        """
        with self._lock:
            for _ in range(TRIES):
                answer = self._try(what, places)
                if answer is not None:
                    head, arrays = answer
                    if "wrong" in head:
                        raise RoadError(f"OSRM cannot answer: {head['wrong']}.")
                    return arrays
                self._stop()
        raise RoadError(
            f"OSRM's process ended {TRIES} times over one question ({self._last_words}). "
            "Import the roads again."
        )

    def close(self) -> None:
        """End the process and wait until it is gone; a later question starts another."""
        with self._lock:
            self._stop()

    def _try(self, what: str, places: list[list[float]]) -> tuple[dict[str, Any], Arrays] | None:
        """Ask once; None where the process died over it."""
        try:
            process = self._running()
            if process is None or process.stdin is None or process.stdout is None:
                return None
            send(process.stdin, {"ask": what, "places": places}, {})
            return receive(process.stdout)
        except OSError:  # the pipe broke
            return None

    def _running(self) -> "subprocess.Popen[bytes] | None":
        """Return the process with its network open; None where it didn't come up."""
        process = self._started()
        if not self._is_open and process.stdin is not None and process.stdout is not None:
            send(process.stdin, {"open": str(self._network)}, {})
            self._is_open = receive(process.stdout) is not None
        return process if self._is_open else None

    def _started(self) -> "subprocess.Popen[bytes]":
        """Return the process, started if need be, its network open or not."""
        if self._process is not None and self._process.poll() is None:
            return self._process
        self._stop()
        said = tempfile.TemporaryFile()  # noqa: SIM115 - closed with the process
        process = subprocess.Popen(
            [sys.executable, "-m", "registry.roads.osrm_worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=said,
        )
        self._process = process
        self._end = weakref.finalize(self, _end, process, said)
        return process

    def _stop(self) -> None:
        if self._end is not None:
            self._last_words = self._end() or self._last_words
        self._process = self._end = None
        self._is_open = False


def _end(process: "subprocess.Popen[bytes]", said: IO[bytes]) -> str:
    """Close the streams, which ends the process, wait until it is gone, return its last line."""
    for stream in (process.stdin, process.stdout):
        if stream is not None:
            try:
                stream.close()
            except OSError:  # what was not yet sent can no longer be
                continue
    try:
        process.wait(PATIENCE_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
    with said:
        said.seek(0)
        lines = said.read().decode(errors="replace").strip().splitlines()
    return lines[-1] if lines else "it said nothing"
