"""Cells as dates; a date that can be read in two ways is never guessed."""

import re
from dataclasses import dataclass, field
from datetime import date

from registry.errors import ConfigError
from registry.imports.cells import Fault
from registry.imports.numbers import shortened

ORDERS = ("Y-M-D", "M/D/Y", "D/M/Y", "Y")
EARLIEST, LATEST = 1850, 2200
"""Years between which a date of the trade lies; our estimate."""

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]\d{1,2}:\d{2}.*)?")
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")
_LOCAL = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})(?:\s+\d{1,2}:\d{2}.*)?")
_NAMED = re.compile(r"(\d{1,2})[ -]([A-Za-z]{3,9})\.?[ -](\d{4})")
_NAMED_FIRST = re.compile(r"([A-Za-z]{3,9})\.? (\d{1,2}),? (\d{4})")
_YEAR = re.compile(r"\d{4}")
_MONTHS = {
    name: i
    for i, name in enumerate(
        ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), 1
    )
}


@dataclass
class DateColumn:
    """One column of dates; what its days and months look like is remembered over all rows.

    ``order`` is M/D/Y or D/M/Y where the user says so, or as soon as a row proves it.
    """

    order: str = ""
    _seen: dict[str, date | Fault | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse an order that there is not."""
        if self.order and self.order not in ORDERS:
            raise ConfigError(
                f"[dates] says “{self.order}”. Write one of {', '.join(ORDERS)}; dates written "
                "as 2026-06-15 need no entry."
            )

    def read(self, cells: list[str]) -> tuple[list[date | None], dict[int, Fault]]:
        """Return cells as dates, None for empty ones, and what is wrong where."""
        if not self.order:
            self.order = _proven(cells)
            self._seen.clear()
        values: list[date | None] = []
        faults: dict[int, Fault] = {}
        for i, cell in enumerate(cells):
            if cell not in self._seen:
                self._seen[cell] = self._date(cell)
            found = self._seen[cell]
            if isinstance(found, Fault):
                faults[i] = found
                found = None
            values.append(found)
        return values, faults

    def _date(self, cell: str) -> date | Fault | None:
        if not cell:
            return None
        parts = _parts(cell, self.order)
        if parts == (0, 0, 0):
            return Fault(
                f"“{shortened(cell)}” can be read as day first or month first",
                "Write it as 2026-06-15, or say [dates] in the column map",
            )
        try:
            found = date(*parts) if parts else None
        except ValueError:
            found = None
        if found is None:
            return Fault(
                f"“{shortened(cell)}” cannot be read as a date",
                "Write it as 2026-06-15, or say [dates] in the column map",
            )
        if not EARLIEST <= found.year <= LATEST:
            return Fault(f"the year {found.year} cannot be right", "Correct the date")
        return found


def _parts(cell: str, order: str) -> tuple[int, int, int] | None:
    """Return year, month and day; zeros where the order is open, None where it is no date."""
    if order == "Y":
        return (int(cell), 1, 1) if _YEAR.fullmatch(cell) else None
    parts = None
    if match := _ISO.fullmatch(cell) or _COMPACT.fullmatch(cell):
        parts = int(match[1]), int(match[2]), int(match[3])
    elif match := _NAMED.fullmatch(cell):
        parts = int(match[3]), _month(match[2]), int(match[1])
    elif match := _NAMED_FIRST.fullmatch(cell):
        parts = int(match[3]), _month(match[1]), int(match[2])
    elif match := _LOCAL.fullmatch(cell):
        parts = _local(match, order)
    return parts


def _local(match: re.Match[str], order: str) -> tuple[int, int, int]:
    first, second, year = int(match[1]), int(match[3]), int(match[4])
    if order == "M/D/Y":
        return year, first, second
    if order == "D/M/Y":
        return year, second, first
    return (year, first, second) if first == second else (0, 0, 0)


def _month(word: str) -> int:
    return _MONTHS.get(word[:3].lower(), 99)


def _proven(cells: list[str]) -> str:
    """Return the order that the column's own rows prove, "" if none or both."""
    first_large = second_large = False
    for cell in cells:
        match = _LOCAL.fullmatch(cell)
        if match:
            first_large = first_large or int(match[1]) > 12
            second_large = second_large or int(match[3]) > 12
    if first_large == second_large:
        return ""
    return "D/M/Y" if first_large else "M/D/Y"
