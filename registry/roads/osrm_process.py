"""A process that owns OSRM's engines: started when first asked, started again once if it died.

It may be started before it is asked anything: to come up takes longer than to open a network, so
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
    """Asks OSRM's engines in another process, one question at a time from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._end: weakref.finalize[..., OsrmProcess] | None = None
        self._last_words = ""

    def start(self) -> None:
        """Start the process without waiting for it."""
        with self._lock, suppress(OSError):  # the first question tells what is wrong
            self._started()

    def ask(self, network: Path, what: str, places: list[list[float]]) -> Arrays:
        """Return the arrays that answer a question about a network.

        Raises
        ------
        RoadError
            If the engine cannot be started, dies twice over the question, or refuses it.
        """
        question = {"network": str(network), "ask": what, "places": places}
        with self._lock:
            for _ in range(TRIES):
                answer = self._try(question)
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

    def _try(self, question: dict[str, Any]) -> tuple[dict[str, Any], Arrays] | None:
        """Ask once; None where the process died over it."""
        try:
            process = self._started()
            if process.stdin is None or process.stdout is None:
                return None
            send(process.stdin, question, {})
            return receive(process.stdout)
        except OSError:  # the pipe broke
            return None

    def _started(self) -> "subprocess.Popen[bytes]":
        """Return the process, started if need be."""
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
