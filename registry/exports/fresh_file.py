"""Files that hold private data: whole or not there at all, and readable by their owner only."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from registry.errors import FileError


@contextmanager
def fresh_file(path: Path) -> Iterator[Path]:
    """Yield an empty file that takes the place of ``path`` once the block ends well.

    It lies in a folder of its own beside ``path``, with whatever is written beside it. An older
    file of that name stays as it is until then, and for good if anything goes wrong.

    Raises
    ------
    FileError
        If the folder cannot be written to or the disk is full.
    """
    try:
        folder = Path(tempfile.mkdtemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part"))
    except OSError as wrong:
        raise FileError(_no_room(path, wrong)) from wrong
    part = folder / "new"
    try:
        part.touch(mode=0o600)
        yield part
        with part.open("rb+") as written:
            os.fsync(written.fileno())
        part.replace(path)
    except OSError as wrong:
        raise FileError(_no_room(path, wrong)) from wrong
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _no_room(path: Path, wrong: OSError) -> str:
    return (
        f"{path.name} cannot be written: {wrong.strerror or wrong}. No part of it was left behind. "
        "Make room or name another folder."
    )
