"""Rows of the files that hang on sites: what each kind of file needs and what cannot be right."""

from dataclasses import dataclass
from typing import Any

from registry.imports.cells import Fault, faults_in_text
from registry.imports.column_map import ColumnMap
from registry.imports.fields import (
    AGREEMENTS,
    COMPONENTS,
    CONDITIONS,
    READINGS,
    SYSTEM_WORDS,
    SYSTEMS,
    WINDOWS,
    Field,
)
from registry.imports.rows import Rows
from registry.imports.sheet import KEY, REASON
from registry.records.elevation import UNKNOWN_DATUM, datum_named


@dataclass(frozen=True, slots=True, kw_only=True)
class PartKind:
    """One kind of file: its fields, and those without which a row says nothing."""

    name: str
    fields: tuple[Field, ...]
    needed: tuple[str, ...]

    @property
    def has_systems(self) -> bool:
        """Whether its rows belong to a system rather than to a site."""
        return any(one.name == "system" for one in self.fields)


KINDS = {
    one.name: one
    for one in (
        PartKind(name="systems", fields=SYSTEMS, needed=("site", "system")),
        PartKind(name="components", fields=COMPONENTS, needed=("site", "kind")),
        PartKind(name="windows", fields=WINDOWS, needed=("site",)),
        PartKind(name="agreements", fields=AGREEMENTS, needed=("site", "starts_on")),
        PartKind(
            name="conditions", fields=CONDITIONS, needed=("site", "task", "months", "citation")
        ),
        PartKind(name="readings", fields=READINGS, needed=("site", "date")),
    )
}
SYNONYMS = {"kind": {word: kind.value for word, kind in SYSTEM_WORDS.items()}}

_PLACES = (("bearing_deg", "distance_ft"), ("tie_a_ft", "tie_b_ft"))


def check(kind: PartKind, mapped: ColumnMap, rows: Rows) -> None:
    """Note what is wrong with rows beyond single cells."""
    for name in kind.needed:
        column = mapped.columns.get(name, name)
        for i, value in enumerate(rows.values[name]):
            if value in (None, "") and i not in rows.faults:
                rows.fault(i, column, Fault("it is empty", f"Give the {name}"))
    if kind.name == "components":
        _check_components(rows)
    elif kind.name == "windows":
        _check_windows(rows)
    elif kind.name == "agreements":
        _check_agreements(rows)
    elif kind.name == "readings":
        _check_readings(rows)


def other_columns(mapped: ColumnMap, rows: Rows) -> list[dict[str, str]]:
    """Return, for each row, the cells of columns that no field takes, by column name."""
    used = {*mapped.columns.values(), REASON, KEY}
    rest = {name: cells for name, cells in rows.sheet.columns.items() if name not in used}
    for name, cells in rest.items():
        for i, fault in faults_in_text(cells).items():
            rows.fault(i, name, fault)
    return [
        {name: cells[i].strip() for name, cells in rest.items() if cells[i].strip()}
        for i in range(len(rows.sheet))
    ]


def _column(rows: Rows, name: str) -> list[Any]:
    return rows.values.get(name) or [None] * len(rows.sheet)


def _check_components(rows: Rows) -> None:
    elevations, datums = _column(rows, "elevation_ft"), _column(rows, "elevation_datum")
    for i, value in enumerate(elevations):
        if value is not None and datum_named(datums[i]) == UNKNOWN_DATUM:
            fault = Fault(
                "the elevation has no vertical datum, so it cannot be compared",
                "Give elevation_datum, for example NAVD88",
            )
            rows.fault(i, "elevation_datum", fault)
    for one, other in _PLACES:
        pairs = zip(_column(rows, one), _column(rows, other), strict=True)
        for i, (a, b) in enumerate(pairs):
            if (a is None) != (b is None) and i not in rows.faults:
                rows.fault(i, one, Fault(f"{one} needs {other} beside it", "Give both"))


def _check_windows(rows: Rows) -> None:
    parts = [_column(rows, name) for name in ("weekday", "date", "opens", "closes")]
    for i, (weekday, date, opens, closes) in enumerate(zip(*parts, strict=True)):
        if i in rows.faults:
            continue
        if (weekday is None) == (date is None):
            fault = Fault("a row names either weekdays or a date", "Leave one of the two")
        elif (opens is None) != (closes is None):
            fault = Fault("half of the hours is missing", "Give opens and closes")
        elif weekday is not None and opens is None:
            fault = Fault("the weekday has no hours", "Give opens and closes")
        elif opens is not None and opens >= closes:
            fault = Fault("it closes before it opens", "Correct opens or closes")
        else:
            continue
        rows.fault(i, "opens", fault)


def _check_agreements(rows: Rows) -> None:
    for i, (start, end) in enumerate(
        zip(_column(rows, "starts_on"), _column(rows, "ends_on"), strict=True)
    ):
        if start is not None and end is not None and end < start:
            rows.fault(i, "ends_on", Fault("it ends before it starts", "Correct one of the days"))


def _check_readings(rows: Rows) -> None:
    parts = [_column(rows, name) for name in ("kind", "value", "task", "outcome", "visit_note")]
    for i, (kind, value, task, outcome, note) in enumerate(zip(*parts, strict=True)):
        if i in rows.faults:
            continue
        if value and not kind:
            rows.fault(i, "kind", Fault("a value stands without what was read", "Give its kind"))
        elif kind and not value:
            rows.fault(i, "value", Fault("the reading has no value", "Give it or drop the row"))
        elif not (kind or task or outcome or note):
            fault = Fault(
                "the row says neither task, reading, outcome nor note", "Give one of them"
            )
            rows.fault(i, "task", fault)
