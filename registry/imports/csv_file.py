"""CSV files: delimiter and encoding found out, ragged and broken rows kept beside the good ones."""

import csv
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TextIO

from registry.errors import FileError
from registry.imports.encodings import Encoding, encoding_of
from registry.imports.limits import Limits
from registry.imports.sheet import KEY, REASON, BrokenRow, Sheet

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
LOOKED_AT = 100
"""Rows by which the delimiter is found out."""


class _Lines:
    """Lines of a file that remembers those of the record that is being read."""

    def __init__(self, file: TextIO) -> None:
        self._file = file
        self.taken: list[str] = []

    def __iter__(self) -> "_Lines":
        return self

    def __next__(self) -> str:
        line = next(self._file)
        self.taken.append(line)
        return line


@dataclass(kw_only=True)
class CsvSource:
    """An opened CSV file."""

    path: Path
    name: str
    encoding: Encoding
    delimiter: str
    limits: Limits
    columns: tuple[str, ...] = ()
    crs: str = ""
    has_geometry: bool = False
    rows: int = 0
    notes: list[str] = field(default_factory=list)

    def sheets(self) -> Iterator[Sheet]:
        """Yield the rows, some thousands at a time; blank lines count as rows and are left out."""
        with _opened(self.path, self.encoding) as file:
            lines = _Lines(file)
            records = self._records(lines)
            next(records)
            number, wide = 1, len(self.columns)
            sheet = _Batch()
            for number, row in enumerate(records, start=2):
                if isinstance(row, csv.Error):
                    sheet.broken.append(self._unreadable(number, "".join(lines.taken), row))
                elif len(row) == wide:
                    sheet.numbers.append(number)
                    sheet.rows.append(row)
                elif row:
                    sheet.broken.append(_ragged(number, row, wide))
                lines.taken.clear()
                if len(sheet.rows) + len(sheet.broken) >= self.limits.sheet_rows:
                    yield sheet.made(self.columns)
                    sheet = _Batch()
            yield sheet.made(self.columns)

    def rejects_ending(self) -> str:
        """Return ``.csv``, or ``.tsv`` for a tab-separated file."""
        return ".tsv" if self.delimiter == "\t" else ".csv"

    def rejects(self, path: Path) -> "CsvRejects":
        """Start a rejects file with the same columns, delimiter and quoting."""
        return CsvRejects(path, self.delimiter, self.columns, self.encoding.name)

    def _records(self, lines: _Lines) -> Iterator[list[str] | csv.Error]:
        """Yield each record, or the error that stands in its place."""
        csv.field_size_limit(self.limits.cell_chars)
        reader = csv.reader(lines, delimiter=self.delimiter, strict=True)
        while True:
            try:
                yield next(reader)
            except StopIteration:
                return
            except csv.Error as wrong:
                yield wrong

    def _unreadable(self, number: int, raw: str, wrong: csv.Error) -> BrokenRow:
        if "field larger" in str(wrong) or "unexpected end" in str(wrong):
            said = "a quotation mark is opened and not closed"
        else:
            said = "the quotation marks cannot be read: text follows a closing one"
        return BrokenRow(number, raw, said, 'Write a quotation mark inside a cell twice ("")')


@dataclass(slots=True)
class _Batch:
    numbers: list[int] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    broken: list[BrokenRow] = field(default_factory=list)

    def made(self, names: tuple[str, ...]) -> Sheet:
        """Return the sheet of what was gathered."""
        turned: list[list[str]] = (
            [list(one) for one in zip(*self.rows, strict=True)]
            if self.rows
            else [[] for _ in names]
        )
        return Sheet(
            numbers=self.numbers,
            columns=dict(zip(names, turned, strict=True)),
            raw=self.rows,
            broken=self.broken,
        )


class CsvRejects:
    """Rejected rows of a CSV file, with reason and key in front of each."""

    def __init__(self, path: Path, delimiter: str, columns: tuple[str, ...], encoding: str) -> None:
        encoding = "utf-8-sig" if encoding == "utf-8-sig" else "utf-8"
        self._file = path.open("w", encoding=encoding, errors="surrogateescape", newline="")
        self._delimiter = delimiter
        self._writer = csv.writer(self._file, delimiter=delimiter)
        named = [one for one in columns if one not in (REASON, KEY)]
        self._kept = [i for i, one in enumerate(columns) if one not in (REASON, KEY)]
        self._writer.writerow([REASON, KEY, *named])
        self._wide = len(columns)

    def add(self, raw: list[str] | str, reason: str, key: str) -> None:
        """Keep a row: its cells, or its text where the cells cannot be told apart."""
        if isinstance(raw, str):
            front = [reason, key] if self._wide == len(self._kept) else []
            quoted = ['"' + one.replace('"', '""') + '"' for one in front]
            end = "" if raw.endswith(("\n", "\r")) else "\r\n"
            self._file.write(self._delimiter.join([*quoted, raw]) + end)
        elif len(raw) == self._wide:
            self._writer.writerow([reason, key, *(raw[i] for i in self._kept)])
        else:
            dropped = self._wide - len(self._kept)
            self._writer.writerow([reason, key, *raw[dropped:]])

    def close(self) -> None:
        """Finish the file."""
        self._file.close()


def open_csv(
    path: Path,
    name: str,
    limits: Limits,
    *,
    encoding: str | None = None,
    delimiter: str | None = None,
) -> CsvSource:
    """Open a CSV file and find out how it is written.

    Raises
    ------
    FileError
        If it is empty, no text, or has no row of column names.
    """
    found = encoding_of(path, encoding)
    source = CsvSource(
        path=path,
        name=name,
        encoding=found,
        delimiter=delimiter or _delimiter(path, found),
        limits=limits,
        rows=max(0, found.lines - 1),
    )
    with _opened(path, found) as file:
        header = next(source._records(_Lines(file)), None)
    if header is None or (isinstance(header, list) and not any(one.strip() for one in header)):
        raise FileError(f"{name} is empty. The first row must name the columns.")
    if isinstance(header, csv.Error):
        raise FileError(f"The first row of {name} cannot be read: {header}.")
    if all(_is_number(one) for one in header):
        raise FileError(
            f"The first row of {name} holds numbers only, no column names. "
            "Put a row with the names of the columns in front."
        )
    source.columns = tuple(_named(header, source.notes))
    source.notes.insert(
        0,
        f"Read as CSV: separated by {DELIMITERS.get(source.delimiter, repr(source.delimiter))}, "
        f"encoding {found.name} ({found.how}).",
    )
    return source


def _opened(path: Path, encoding: Encoding) -> TextIO:
    errors = "surrogateescape" if encoding.name.startswith("utf-8") else "replace"
    return path.open(encoding=encoding.name, errors=errors, newline="")


def _delimiter(path: Path, encoding: Encoding) -> str:
    """Return the sign that lays most of the first rows into the same number of columns."""
    best, best_score = ",", 0.0
    with _opened(path, encoding) as file:
        text = file.read(200_000)
    whole = text if len(text) < 200_000 else text[: text.rfind("\n") + 1]
    for sign in DELIMITERS:
        widths = Counter[int]()
        try:
            for i, row in enumerate(csv.reader(whole.splitlines(keepends=True), delimiter=sign)):
                widths[len(row)] += bool(row)
                if i == LOOKED_AT:
                    break
        except csv.Error:
            continue
        width, often = max(widths.items(), key=lambda one: one[1], default=(1, 0))
        score = 0.0 if width < 2 else often / max(1, widths.total()) + min(width, 50) / 1000
        if score > best_score:
            best, best_score = sign, score
    return best


def _named(header: list[str], notes: list[str]) -> Iterator[str]:
    """Yield column names: blank ones numbered, repeated ones told apart."""
    seen = Counter[str]()
    for place, given in enumerate(header, start=1):
        plain = " ".join(given.split()) or f"column {place}"
        seen[plain] += 1
        if seen[plain] > 1:
            notes.append(f"The column name “{plain}” stands twice; the later one is {plain} (2).")
            plain = f"{plain} ({seen[plain]})"
        yield plain


def _ragged(number: int, row: list[str], wide: int) -> BrokenRow:
    more = "more" if len(row) > wide else "fewer"
    return BrokenRow(
        number,
        row,
        f"the row has {len(row)} cells, {more} than the {wide} columns",
        "Put text that holds the separator into quotation marks, or fill up the row",
    )


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
