"""What a copy of a whole registry is made of, and how each value is written in it.

A copy is a zip with one CSV (RFC 4180, UTF-8) for each table, so that any program can read it; see
docs/store.md. A value is written so that it comes back to the bit: numbers by their shortest exact
form, moments to the microsecond, geometry as WKB in hexadecimal digits.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

FORMAT = "riserway-copy/1"
SCHEMA = "schema.json"
"""The member of a copy that says what the others hold."""
FILES = "files/"
"""Where the bytes of photos and grids lie, each under its SHA-256."""
NULL = "\\N"
"""The cell of a value that is not there; a text that begins with a backslash gets one more."""
_STEPS = {"bytes": 16, "geometry": 250}
INT64 = range(-(2**63), 2**63)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table; ``kind`` is a key of ``TO_CELL``, or ``bytes``."""

    name: str
    kind: str


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a copy, its columns in their order."""

    name: str
    columns: tuple[Column, ...]

    @property
    def member(self) -> str:
        """Return the name of its file inside the copy."""
        return f"tables/{self.name}.csv"

    @property
    def step(self) -> int:
        """Return how many rows are held in memory at once: few where they are large."""
        return min(_STEPS.get(one.kind, 5000) for one in self.columns)


@dataclass(frozen=True, slots=True)
class Filled:
    """A table of a copy with how many rows it has and the SHA-256 of its file."""

    table: Table
    rows: int
    sha256: str


@dataclass(frozen=True, slots=True)
class CopyHead:
    """What ``schema.json`` says: the store's revision, when it was copied, and its tables."""

    revision: str
    made_at: str
    tables: tuple[Filled, ...]

    @property
    def counts(self) -> dict[str, int]:
        """Return how many rows there are of each kind."""
        return {one.table.name: one.rows for one in self.tables}


def _text_to_cell(value: str) -> str:
    if "\0" in value:
        raise ValueError("it holds the character NUL, which no PostGIS store takes")
    return "\\" + value if value.startswith("\\") else value


def _text_from_cell(cell: str) -> str:
    if "\0" in cell:
        raise ValueError("it holds the character NUL")
    if cell.startswith("\\"):
        if not cell.startswith("\\\\"):
            raise ValueError("a text that begins with a backslash needs two")
        return cell[1:]
    return cell


def _number_to_cell(value: float) -> str:
    if value != value:  # noqa: PLR0124 - only NaN differs from itself
        raise ValueError("it is not a number (NaN)")
    return repr(float(value))


def _number_from_cell(cell: str) -> float:
    value = float(cell)
    if value != value:  # noqa: PLR0124
        raise ValueError("it is not a number (NaN)")
    return value


def _integer_from_cell(cell: str) -> int:
    value = int(cell)
    if value not in INT64:
        raise ValueError("it has more than 64 bits")
    return value


def _moment_to_cell(value: datetime) -> str:
    return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def _moment_from_cell(cell: str) -> datetime:
    value = datetime.fromisoformat(cell)
    if value.tzinfo is None:
        raise ValueError("it has no time zone")
    return value.astimezone(UTC)


TO_CELL: Mapping[str, Callable[[Any], str]] = {
    "text": _text_to_cell,
    "json": _text_to_cell,
    "integer": str,
    "number": _number_to_cell,
    "yes or no": {True: "true", False: "false"}.__getitem__,
    "date": date.isoformat,
    "moment": _moment_to_cell,
    "geometry": bytes.hex,
}
"""Kind → how a value is written. JSON is text already and geometry is WKB; both pass unread."""

FROM_CELL: Mapping[str, Callable[[str], Any]] = {
    "text": _text_from_cell,
    "json": _text_from_cell,
    "integer": _integer_from_cell,
    "number": _number_from_cell,
    "yes or no": {"true": True, "false": False}.__getitem__,
    "date": date.fromisoformat,
    "moment": _moment_from_cell,
    "geometry": bytes.fromhex,
}
"""Kind → how a cell is read; ValueError or KeyError where it is none of the kind."""
