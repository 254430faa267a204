"""Writing a copy of a whole registry: a zip with one CSV for each table; see docs/store.md."""

import csv
import io
import json
import shutil
import tempfile
import zipfile
from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path
from typing import Any

from registry.errors import StoreError
from registry.records.copies import FILES, FORMAT, NULL, SCHEMA, TO_CELL, CopyHead, Filled, Table

type Rows = Iterable[list[tuple[Any, ...]]]
SPOOL_BYTES = 8_000_000
"""A table's file up to this size waits in memory, a larger one beside the copy."""


class CopyWriter:
    """Writes tables one after the other, then the schema; holds no table whole in memory."""

    def __init__(self, archive: zipfile.ZipFile, folder: Path) -> None:
        self._archive, self._folder = archive, folder
        self._filled: list[Filled] = []
        self._files: set[str] = set()

    def add_table(self, table: Table, rows: Rows) -> None:
        """Write one table.

        Raises
        ------
        StoreError
            If a value cannot be written so that every store takes it back.
        """
        digest, count = sha256(), 0
        with tempfile.SpooledTemporaryFile(SPOOL_BYTES, dir=str(self._folder)) as spool:

            def put(lines: Iterable[Iterable[str]]) -> None:
                text = io.StringIO()
                csv.writer(text).writerows(lines)
                written = text.getvalue().encode()
                digest.update(written)
                spool.write(written)

            put([[one.name for one in table.columns]])
            for part in rows:
                columns = zip(*part, strict=True)
                cells = [self._cells(table, at, values, count) for at, values in enumerate(columns)]
                put(zip(*cells, strict=True))
                count += len(part)
            spool.seek(0)
            with self._archive.open(table.member, "w", force_zip64=True) as member:
                shutil.copyfileobj(spool, member, 1_000_000)
        self._filled.append(Filled(table, count, digest.hexdigest()))

    def finish(self, revision: str, made_at: str) -> CopyHead:
        """Write the schema and return it."""
        head = CopyHead(revision, made_at, tuple(self._filled))
        self._archive.writestr(SCHEMA, json.dumps(_schema(head), indent=1))
        return head

    def _cells(self, table: Table, at: int, values: tuple[Any, ...], before: int) -> list[str]:
        column = table.columns[at]
        write = self._file if column.kind == "bytes" else TO_CELL[column.kind]
        try:
            return [NULL if one is None else write(one) for one in values]
        except (ValueError, KeyError, TypeError, AttributeError) as wrong:
            raise StoreError(
                f"A value cannot be copied: column {column.name} of table {table.name}, "
                f"one of rows {before + 1:,} to {before + len(values):,} by their key: "
                f"{wrong if isinstance(wrong, ValueError) else f'it is no {column.kind}'}. "
                "Correct it first."
            ) from wrong

    def _file(self, body: bytes) -> str:
        """Write bytes once, as a file of their own, and return their SHA-256."""
        digest = sha256(body).hexdigest()
        if digest not in self._files:
            self._files.add(digest)
            with self._archive.open(zipfile.ZipInfo(FILES + digest), "w") as member:
                member.write(body)
        return digest


def open_archive(path: Path) -> zipfile.ZipFile:
    """Return a zip to write to; pictures go in as they are, all else packed quickly."""
    return zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1)


def _schema(head: CopyHead) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "revision": head.revision,
        "made_at": head.made_at,
        "null": NULL,
        "tables": [
            {
                "name": one.table.name,
                "file": one.table.member,
                "rows": one.rows,
                "sha256": one.sha256,
                "columns": [{"name": c.name, "kind": c.kind} for c in one.table.columns],
            }
            for one in head.tables
        ],
    }
