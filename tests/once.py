"""Making a costly thing once for a whole test run, however many processes run the tests."""

import fcntl
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def alone(folder: Path, name: str) -> Iterator[None]:
    """Hold the run-wide lock of a name."""
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # given back when the file closes, also after a crash
        yield


def once(folder: Path, name: str, make: Callable[[Path], None]) -> Path:
    """Return ``folder/name``, made by ``make(path)`` unless another process has made it.

    A failed try leaves no ``.made`` mark behind, so the next caller tries again and fails with the
    true reason instead of using half a thing.
    """
    made = folder / f"{name}.made"
    with alone(folder, name):
        if not made.exists():
            make(folder / name)
            made.touch()
    return folder / name
