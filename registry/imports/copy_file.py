"""Reading a copy of a whole registry, a file that may be damaged, foreign or made to do harm."""

import csv
import io
import json
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from itertools import batched
from pathlib import Path
from typing import IO, Any

from registry.errors import FileError
from registry.records.copies import (
    FILES,
    FORMAT,
    FROM_CELL,
    NULL,
    SCHEMA,
    Column,
    CopyHead,
    Filled,
    Table,
)

SCHEMA_BYTES = 4_000_000
FILE_BYTES = 500_000_000
"""Largest photo or grid, and largest cell, that is taken into memory."""
SWELL, SWELL_FROM_BYTES = 400, 10_000_000
"""A table that unpacks to more than so many times its size is none that copy-out wrote."""
NAME = re.compile(r"[a-z][a-z0-9_]{0,62}", re.ASCII)
DIGEST = re.compile(r"[0-9a-f]{64}")
BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError)


class CopyReader:
    """An opened copy: ``head`` says what is in it, ``rows`` reads a table and verifies it."""

    def __init__(self, path: Path, archive: zipfile.ZipFile) -> None:
        self._path, self._archive = path, archive
        self._members = self._checked()
        self.head = self._head()

    def rows(self, filled: Filled) -> Iterator[list[tuple[Any, ...]]]:
        """Yield the rows of a table some at a time; at the end they were all there, unchanged.

        Raises
        ------
        FileError
            If the table is damaged, is not as the schema says, or a cell is not of its kind.
        """
        table, count = filled.table, 0
        csv.field_size_limit(FILE_BYTES)
        with self._reading(table.member), self._archive.open(self._member(table.member)) as packed:
            hashed = _Hashed(packed)
            text = io.TextIOWrapper(io.BufferedReader(hashed, 1 << 20), "utf-8", newline="")
            lines = csv.reader(text, strict=True)
            if next(lines, []) != [one.name for one in table.columns]:
                raise self._wrong(f"{table.member} has other columns than {SCHEMA} says")
            for part in batched(lines, table.step):
                count += len(part)
                if count > filled.rows:
                    break
                yield self._values(table, part, count - len(part))
            hashed.drain()
            if count != filled.rows:
                said = "more" if count > filled.rows else f"{count:,}"
                raise self._wrong(f"{table.member} has {said} rows, not {filled.rows:,}")
            if hashed.digest.hexdigest() != filled.sha256:
                raise self._wrong(f"{table.member} was changed after it was written")

    def _values(
        self, table: Table, lines: tuple[list[str], ...], before: int
    ) -> list[tuple[Any, ...]]:
        try:
            columns = list(zip(*lines, strict=True))
        except ValueError as wrong:
            raise self._wrong(f"{table.member} has rows of different length") from wrong
        if len(columns) != len(table.columns):
            raise self._wrong(f"{table.member} has rows of another length than its header")
        values = [
            self._column(table, one, before, cells)
            for one, cells in zip(table.columns, columns, strict=True)
        ]
        return list(zip(*values, strict=True))

    def _column(
        self, table: Table, column: Column, before: int, cells: tuple[str, ...]
    ) -> list[Any]:
        read: Callable[[str], Any] = (
            self._file if column.kind == "bytes" else FROM_CELL[column.kind]
        )
        values: list[Any] = []
        try:
            for cell in cells:
                values.append(None if cell == NULL else read(cell))  # noqa: PERF401 - the row of a bad cell is counted
        except (ValueError, KeyError) as wrong:
            raise self._wrong(
                f"{table.member}, row {before + len(values) + 2:,}, column {column.name}: "
                f"the cell is no {column.kind}"
            ) from wrong
        return values

    def _file(self, digest: str) -> bytes:
        if not DIGEST.fullmatch(digest):
            raise ValueError(digest)
        name = FILES + digest
        member = self._member(name)
        if member.file_size > FILE_BYTES:
            raise self._wrong(f"{name} is larger than {FILE_BYTES / 1e6:.0f} MB")
        with self._reading(name):
            body = self._archive.read(member)
        if sha256(body).hexdigest() != digest:
            raise self._wrong(f"{name} was changed after it was written")
        return body

    def _checked(self) -> dict[str, zipfile.ZipInfo]:
        """Return the members by name, or refuse a zip that is no copy."""
        members: dict[str, zipfile.ZipInfo] = {}
        for one in self._archive.infolist():
            if one.filename in members:
                raise self._wrong(f"it holds two files named {one.filename[:80]!r}")
            if one.flag_bits & 1:
                raise self._wrong("it is locked with a password")
            members[one.filename] = one
            swells = one.file_size > SWELL * max(1, one.compress_size)
            if one.file_size > SWELL_FROM_BYTES and swells:
                raise self._wrong(
                    f"{one.filename[:80]!r} unpacks to more than {SWELL} times its size, as a zip "
                    "bomb does"
                )
        if SCHEMA not in members:
            raise FileError(
                f"{self._path.name} is a zip file, but no copy of a registry: it has no {SCHEMA}. "
                "Copies are made by: riserway store copy-out."
            )
        return members

    def _head(self) -> CopyHead:
        member = self._members[SCHEMA]
        if member.file_size > SCHEMA_BYTES:
            raise self._wrong(f"its {SCHEMA} is too large")
        with self._reading(SCHEMA):
            body = self._archive.read(member)
        try:
            said = json.loads(body)
            if said["format"] != FORMAT:
                raise FileError(
                    f"{self._path.name} is of the format {str(said['format'])[:40]!r}; this "
                    f"program reads {FORMAT}."
                )
            head = CopyHead(
                str(said["revision"]), str(said["made_at"]), tuple(map(_filled, said["tables"]))
            )
        except (ValueError, KeyError, TypeError, RecursionError) as wrong:
            raise self._wrong(f"its {SCHEMA} cannot be understood") from wrong
        named = {one.table.member for one in head.tables}
        if len(named) != len(head.tables):
            raise self._wrong(f"its {SCHEMA} names a table twice")
        for name in self._members.keys() - named - {SCHEMA}:
            if not (name.startswith(FILES) and DIGEST.fullmatch(name.removeprefix(FILES))):
                raise self._wrong(f"it holds {name[:80]!r}, which {SCHEMA} does not name")
        return head

    def _member(self, name: str) -> zipfile.ZipInfo:
        if name not in self._members:
            raise self._wrong(f"{name} is missing")
        return self._members[name]

    @contextmanager
    def _reading(self, name: str) -> Iterator[None]:
        try:
            yield
        except (*BROKEN, UnicodeDecodeError, csv.Error) as wrong:
            raise self._wrong(f"{name} is damaged") from wrong

    def _wrong(self, what: str) -> FileError:
        return FileError(
            f"{self._path.name} cannot be used: {what}. Nothing was brought in. "
            "Take another copy, or copy the file here again."
        )


@contextmanager
def opened_copy(path: Path) -> Iterator[CopyReader]:
    """Open a copy of a registry.

    Raises
    ------
    FileError
        If the file is not there, is no zip, or is a zip of something else.
    """
    try:
        archive = zipfile.ZipFile(path)
    except FileNotFoundError as wrong:
        raise FileError(f"There is no file {path.name} here. Name a copy of a registry.") from wrong
    except BROKEN as wrong:
        raise FileError(
            f"{path.name} is no copy of a registry, or only a part of one: it does not open as a "
            "zip file. Copies are made by: riserway store copy-out."
        ) from wrong
    with archive:
        yield CopyReader(path, archive)


class _Hashed(io.RawIOBase):
    """A stream that takes the SHA-256 of what is read from it."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream, self.digest = stream, sha256()

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:  # noqa: ANN401 - any writable buffer
        block = self._stream.read(len(buffer))
        buffer[: len(block)] = block
        self.digest.update(block)
        return len(block)

    def drain(self) -> None:
        """Read what is left, a block at a time."""
        while block := self._stream.read(1 << 20):
            self.digest.update(block)


def _filled(said: dict[str, Any]) -> Filled:
    columns = tuple(Column(one["name"], one["kind"]) for one in said["columns"])
    names = [said["name"], *(one.name for one in columns)]
    if len(set(names[1:])) != len(columns) or not all(NAME.fullmatch(one) for one in names):
        raise ValueError(said["name"])
    if not columns or any(one.kind not in {*FROM_CELL, "bytes"} for one in columns):
        raise ValueError(said["name"])
    return Filled(Table(said["name"], columns), int(said["rows"]), str(said["sha256"]))
