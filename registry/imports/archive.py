"""Zip files: unpacked with care into a folder of their own."""

import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

from registry.errors import FileError
from registry.imports.limits import Limits

PACKED = {".zip", ".gz", ".tgz", ".bz2", ".xz", ".7z", ".rar", ".tar", ".zst", ".kmz"}
BLOCK = 1_000_000
IS_LINK = 0o120000
"""File type of a symbolic link in the upper half of a zip entry's attributes."""


@contextmanager
def unpacked(path: Path, limits: Limits) -> Iterator[Path]:
    """Unpack a zip into a folder that is removed at the end, and yield the folder.

    Folders inside are flattened: only the files' own names count.

    Raises
    ------
    FileError
        If it is no zip, is locked, holds a path that leads elsewhere or another packed file, or
        unpacks to more than the limits allow.
    """
    with tempfile.TemporaryDirectory(prefix="riserway-") as folder:
        try:
            with zipfile.ZipFile(path) as archive:
                entries = _checked(path, archive, limits)
                budget = limits.unpacked_bytes
                for name, entry in entries.items():
                    budget -= _unpack(path, archive, entry, Path(folder) / name, limits, budget)
        except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError) as wrong:
            raise FileError(
                f"{path.name} cannot be unpacked: it is damaged or not a zip file. Pack it again."
            ) from wrong
        yield Path(folder)


def _checked(path: Path, archive: zipfile.ZipFile, limits: Limits) -> dict[str, zipfile.ZipInfo]:
    """Return the files in a zip by their own name, or refuse it."""
    entries: dict[str, zipfile.ZipInfo] = {}
    total = packed = 0
    for entry in archive.infolist():
        inside = PurePosixPath(entry.filename.replace("\\", "/"))
        if inside.is_absolute() or ".." in inside.parts or ":" in entry.filename:
            raise FileError(
                f"{path.name} holds a file whose path leads outside of it "
                f"({entry.filename!r}). Pack it again without paths."
            )
        if entry.is_dir() or "__MACOSX" in inside.parts or inside.name.startswith("."):
            continue
        if entry.external_attr >> 16 & 0o170000 == IS_LINK:
            raise FileError(f"{path.name} holds a link ({entry.filename!r}). Pack the file itself.")
        if entry.flag_bits & 1:
            raise FileError(f"{path.name} is locked with a password. Unpack it first.")
        if inside.suffix.lower() in PACKED:
            raise FileError(
                f"{path.name} holds another packed file ({inside.name}). Unpack that one first."
            )
        if inside.name in entries:
            raise FileError(f"{path.name} holds two files named {inside.name}. Pack only one.")
        entries[inside.name] = entry
        total += entry.file_size
        packed += entry.compress_size
    if total > limits.unpacked_bytes or _swells(total, packed, limits):
        raise FileError(_too_large(path, limits))
    return entries


def _unpack(
    path: Path,
    archive: zipfile.ZipFile,
    entry: zipfile.ZipInfo,
    to: Path,
    limits: Limits,
    budget: int,
) -> int:
    """Unpack one file, counting what comes out: what a zip says of its sizes may be untrue."""
    size = 0
    with archive.open(entry) as packed, to.open("wb") as out:
        while block := packed.read(BLOCK):
            size += len(block)
            if size > budget or _swells(size, entry.compress_size, limits):
                raise FileError(_too_large(path, limits))
            out.write(block)
    return size


def _swells(size: int, packed: int, limits: Limits) -> bool:
    return size > limits.ratio_from_bytes and size > limits.ratio * max(1, packed)


def _too_large(path: Path, limits: Limits) -> str:
    return (
        f"{path.name} unpacks to more than {limits.unpacked_bytes / 1e6:.0f} MB or to more than "
        f"{limits.ratio:.0f} times its size, as a zip bomb does. "
        "Unpack it yourself if you trust it."
    )
