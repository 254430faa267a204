"""The file of rejected rows: beside the good ones, to be mended and imported again."""

import re
from pathlib import Path
from typing import Any

from registry.errors import Complaint, FileError
from registry.imports.rows import Rows
from registry.imports.sheet import Rejects, Sheet, Source

MOST_SHOWN = 200
"""Complaints that are kept for showing; the rejects file has them all."""


class RejectsFile:
    """Gathers rejected rows; the file is made with the first one and named at the end.

    Until it is complete it has the ending ``.part``, so that a broken import leaves none behind.
    """

    def __init__(self, source: Source, path: Path, wanted: Path | None, folder: Path) -> None:
        self._source = source
        self._path = wanted or free_path(folder, path.stem, source.rejects_ending())
        self._part = self._path.with_name(self._path.name + ".part" + self._path.suffix)
        self._file: Rejects | None = None
        self.count = 0
        self.complaints: list[Complaint] = []

    def add(self, rows: Rows, rejected: dict[int, str]) -> None:
        """Keep the rows that cannot be taken, index → key, with all that is wrong with them."""
        for row, key in sorted(rejected.items()):
            self._keep(rows.sheet.raw[row], rows.complaints(row), key)

    def add_broken(self, sheet: Sheet) -> None:
        """Keep the rows that could not be laid into columns."""
        for one in sheet.broken:
            complaint = Complaint(self._source.name, one.number, "", one.wrong, one.remedy)
            self._keep(one.raw, [complaint], "")

    def close(self) -> Path | None:
        """Finish the file and return where it is, None when nothing was rejected."""
        if self._file is None:
            return None
        self._file.close()
        self._part.replace(self._path)
        return self._path

    def discard(self) -> None:
        """Remove what was written, after an import that came to nothing."""
        if self._file is not None:
            self._file.close()
            self._part.unlink(missing_ok=True)

    def _keep(self, raw: Any, complaints: list[Complaint], key: str) -> None:  # noqa: ANN401
        if self._file is None:
            try:
                self._file = self._source.rejects(self._part)
            except OSError as wrong:
                raise FileError(
                    f"The rejects file {self._path} cannot be written: {wrong.strerror}. "
                    "Name another place with --rejects."
                ) from wrong
        reason = " ".join(
            (f"{one.field}: " if one.field else "") + f"{one.wrong}. {one.remedy}."
            for one in complaints
        )
        self._file.add(raw, reason, key)
        self.count += 1
        room = MOST_SHOWN - len(self.complaints)
        self.complaints += complaints[:room]


def free_path(folder: Path, stem: str, ending: str) -> Path:
    """Return a name for a rejects file that no file has yet."""
    plain = re.sub(r"\.rejects(-\d+)?$", "", stem)
    path = folder / f"{plain}.rejects{ending}"
    number = 2
    while path.exists():
        path = folder / f"{plain}.rejects-{number}{ending}"
        number += 1
    return path
