"""Rows of a file as they stand in it, before they mean anything."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

REASON = "reject_reason"
KEY = "reject_key"
"""Columns that a rejects file has in front; the second keeps which of several rows with one key."""


@dataclass(frozen=True, slots=True)
class BrokenRow:
    """A row that cannot be laid into the columns, with its number, what is wrong, what to do."""

    number: int
    raw: Any
    wrong: str
    remedy: str


@dataclass(slots=True, kw_only=True)
class Sheet:
    """Some rows of a file; every list has one entry for each row.

    ``numbers`` count as the user sees them: in a CSV file the header is row 1, in a GIS file the
    first record is 1. ``columns`` hold text, "" for an empty cell. ``geometries`` are shapely
    geometries in the file's own coordinates, None where there is none; ``faults`` say why a
    geometry that is there cannot be used, ``repairs`` what was mended because it was certain.
    ``raw`` is what the source needs to write a row into a rejects file.
    """

    numbers: list[int]
    columns: dict[str, list[str]]
    raw: Sequence[Any]
    geometries: list[Any] | None = None
    faults: dict[int, str] = field(default_factory=dict)
    repairs: dict[int, str] = field(default_factory=dict)
    broken: list[BrokenRow] = field(default_factory=list)

    def __len__(self) -> int:
        """Return the number of rows, without the broken ones."""
        return len(self.numbers)


class Rejects(Protocol):
    """A rejects file that is being written: rows as they came, each with its reason."""

    def add(self, raw: Any, reason: str, key: str) -> None:  # noqa: ANN401 - the source's own rows
        """Keep a row."""

    def close(self) -> None:
        """Finish the file."""


class Source(Protocol):
    """An opened input file.

    ``columns`` are the names of its attributes; ``crs`` the coordinate system that the file itself
    states, "" for none; ``has_geometry`` tells a GIS file from a table. ``rows`` is about how many
    rows there are. ``notes`` say what was found out about the file.
    """

    name: str
    columns: tuple[str, ...]
    crs: str
    has_geometry: bool
    rows: int
    notes: list[str]

    def sheets(self) -> Iterator[Sheet]:
        """Yield the rows, some thousands at a time."""

    def rejects_ending(self) -> str:
        """Return the ending of a rejects file, for example ``.csv``."""

    def rejects(self, path: Path) -> Rejects:
        """Start a rejects file in this source's own format."""
