"""Sheets into typed columns: text, numbers, dates and words, and what is wrong with which row."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from registry.errors import Complaint, ConfigError
from registry.imports.cells import Fault, faults_in_text, trimmed
from registry.imports.column_map import ColumnMap
from registry.imports.dates import DateColumn
from registry.imports.fields import Field
from registry.imports.moments import moment
from registry.imports.numbers import factor, numbers
from registry.imports.sheet import Sheet
from registry.imports.words import (
    hazards,
    listed,
    minutes,
    month_day,
    plain,
    weekdays,
    word_of,
    yes_no,
)

_BY_CELL: dict[str, Any] = {
    "yes-no": yes_no,
    "month-day": month_day,
    "clock": minutes,
    "moment": moment,
    "weekdays": weekdays,
}
_LISTS: dict[str, Any] = {"hazards": hazards, "list": listed}


@dataclass(slots=True, kw_only=True)
class Rows:
    """Rows of one sheet with typed values.

    ``values`` has a list for each field that the file says something about, None (or "" or an
    empty list) where a row does not. ``faults`` are what is wrong, by row index: column, what,
    remedy.
    """

    file_name: str
    sheet: Sheet
    values: dict[str, list[Any]]
    faults: dict[int, list[tuple[str, str, str]]] = field(default_factory=dict)

    def fault(self, row: int, column: str, fault: Fault) -> None:
        """Note that something is wrong with a row."""
        self.faults.setdefault(row, []).append((column, *fault))

    def good(self) -> list[int]:
        """Return the indexes of the rows with which nothing is wrong."""
        return [i for i in range(len(self.sheet)) if i not in self.faults]

    def complaints(self, row: int) -> list[Complaint]:
        """Return what is wrong with a row."""
        number = self.sheet.numbers[row]
        return [Complaint(self.file_name, number, *one) for one in self.faults.get(row, [])]


@dataclass
class RowReader:
    """Reads sheet after sheet of one file by one column map.

    ``unknown_words`` counts, for fields whose foreign words are kept, the words that are neither
    ours nor in the map; ``without_word`` their empty cells.
    """

    file_name: str
    known: Sequence[Field]
    map: ColumnMap
    keeps_unknown: frozenset[str] = frozenset()
    unknown_words: Counter[str] = field(default_factory=Counter)
    without_word: int = 0
    synonyms: dict[str, dict[str, str]] = field(default_factory=dict)
    _dates: dict[str, DateColumn] = field(init=False, default_factory=dict)
    _times: dict[str, float] = field(init=False, default_factory=dict)
    _words: dict[str, dict[str, str]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        """Look up units, orders of dates and words once.

        Raises
        ------
        ConfigError
            If the map's units, dates or words do not fit the fields.
        """
        for one in self.known:
            if one.name in self.map.units:
                self._times[one.name] = factor(one, self.map.units[one.name])
            if one.kind == "date":
                self._dates[one.name] = DateColumn(self.map.dates.get(one.name, ""))
            if one.kind == "word":
                self._words[one.name] = self._spellings(one)

    def read(self, sheet: Sheet) -> Rows:
        """Return the typed rows of a sheet."""
        rows = Rows(file_name=self.file_name, sheet=sheet, values={})
        for one in self.known:
            column = self.map.columns.get(one.name)
            if column is not None:
                rows.values[one.name] = self._column(rows, one, column, sheet.columns[column])
            elif one.name in self.map.constants:
                given = [self.map.constants[one.name]]
                alone = Rows(file_name=self.file_name, sheet=sheet, values={})
                value = self._column(alone, one, one.name, given)
                if alone.faults:
                    wrong = alone.faults[0][0]
                    raise ConfigError(
                        f"The column map gives every row {one.name} = “{given[0]}”: {wrong[1]}. "
                        f"{wrong[2]}."
                    )
                rows.values[one.name] = value * len(sheet)
        return rows

    def _column(self, rows: Rows, one: Field, column: str, cells: list[str]) -> list[Any]:
        if one.kind in {"number", "count"}:
            return self._numbers(rows, one, column, cells)
        for row, fault in faults_in_text(cells).items():
            rows.fault(row, column, fault)
        plain_cells = trimmed(cells, keep_words=one.kind == "name")
        if one.name in self.map.words and one.kind != "word":
            words = {plain(k): v for k, v in self.map.words[one.name].items()}
            plain_cells = [words.get(plain(cell), cell) for cell in plain_cells]
        if one.kind == "date":
            return self._dates_of(rows, one, column, plain_cells)
        if one.kind in _LISTS:
            return [_LISTS[one.kind](cell) for cell in plain_cells]
        if one.kind in _BY_CELL:
            return self._by_cell(rows, _BY_CELL[one.kind], column, plain_cells)
        if one.kind == "word":
            return self._words_of(rows, one, column, plain_cells)
        return plain_cells

    def _numbers(self, rows: Rows, one: Field, column: str, cells: list[str]) -> list[Any]:
        times = self._times.get(one.name, 1.0)
        values, faults = numbers(cells, one, times=times, decimal=self.map.decimal)
        for row, fault in faults.items():
            rows.fault(row, column, fault)
        if one.kind == "count":
            return [None if value is None else int(value) for value in values]
        return values

    def _dates_of(self, rows: Rows, one: Field, column: str, cells: list[str]) -> list[Any]:
        dates, faults = self._dates[one.name].read(cells)
        for row, fault in faults.items():
            if not any(one == column for one, *_ in rows.faults.get(row, [])):
                rows.fault(row, column, fault)
        return list(dates)

    def _by_cell(
        self, rows: Rows, read: Callable[[str], Any], column: str, cells: list[str]
    ) -> list[Any]:
        seen: dict[str, Any] = {}
        values: list[Any] = []
        for row, cell in enumerate(cells):
            if cell not in seen:
                seen[cell] = read(cell)
            value = seen[cell]
            if isinstance(value, Fault):
                rows.fault(row, column, value)
                value = None
            values.append(value)
        return values

    def _words_of(self, rows: Rows, one: Field, column: str, cells: list[str]) -> list[Any]:
        words = self._words[one.name]
        if one.name not in self.keeps_unknown:
            return self._by_cell(rows, partial(word_of, words=words), column, cells)
        self.without_word += cells.count("")
        self.unknown_words.update(cell for cell in cells if cell and plain(cell) not in words)
        return [words.get(plain(cell), "unknown") if cell else None for cell in cells]

    def _spellings(self, one: Field) -> dict[str, str]:
        """Return plain spelling → our word: ours, their synonyms, and those of the map."""
        words = {plain(word): str(word) for word in one.words}
        words |= self.synonyms.get(one.name, {})
        for theirs, ours in self.map.words.get(one.name, {}).items():
            if plain(ours) not in words:
                raise ConfigError(
                    f"[values.{one.name}] maps “{theirs}” to “{ours}”, which is none of "
                    f"{', '.join(one.words)}."
                )
            words[plain(theirs)] = words[plain(ours)]
        return words
