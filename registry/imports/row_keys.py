"""Keys of rows: one column or several, and which of several rows with the same key."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from registry.imports.cells import Fault, faults_in_text, unguarded
from registry.imports.rows import Rows
from registry.imports.sheet import KEY

SHOWN = 5
LONGEST = 200
JOINED_BY = " / "


@dataclass
class RowKeys:
    """Gives every row of a file a key of its own.

    Rows that repeat a key are told apart by their order: K, K (2), K (3). Where they name systems
    of their own they keep it: they are further systems of one site. A row that was rejected and
    mended keeps the key that the rejects file says.
    """

    columns: tuple[str, ...]
    _taken: dict[str, int] = field(default_factory=dict)
    _times: Counter[str] = field(default_factory=Counter)
    _repeated: dict[str, list[int]] = field(default_factory=dict)
    _systems: set[tuple[str, str]] = field(default_factory=set)

    def of(self, rows: Rows, systems: Sequence[str] = ()) -> list[str]:
        """Return the key of each row, "" where it has none; that is a fault of the row.

        ``systems`` are the keys of the rows' systems, none where no column names them.
        """
        sheet = rows.sheet
        parts = [[unguarded(c.strip()) for c in sheet.columns[one]] for one in self.columns]
        plain = parts[0] if len(parts) == 1 else _joined(parts)
        kept = [cell.strip() for cell in sheet.columns.get(KEY, [])]
        name = ", ".join(self.columns)
        faults = faults_in_text(plain)
        given = self._given(rows, kept, systems)
        keys: list[str] = []
        for i, key in enumerate(plain):
            if i in given:
                keys.append(given[i])
                continue
            further = bool(key and systems) and self._is_further(key, systems[i])
            keys.append(key if further or not key else self._own(key, sheet.numbers[i]))
            if not key:
                rows.fault(i, name, Fault("the key is empty", "Give the row its site number"))
            elif i in faults:
                rows.fault(i, name, faults[i])
            elif len(key) > LONGEST or not key.isprintable():
                wrong = "the key is too long or goes over several lines"
                rows.fault(i, name, Fault(wrong, "Give a short key"))
        return keys

    def warnings(self) -> list[str]:
        """Return which keys stood in several rows."""
        if not self._repeated:
            return []
        later = sum(len(rows) - 1 for rows in self._repeated.values())
        shown = ", ".join(
            f"{key} (rows {', '.join(map(str, rows[:SHOWN]))}{' …' if len(rows) > SHOWN else ''})"
            for key, rows in list(self._repeated.items())[:SHOWN]
        )
        more = len(self._repeated) - SHOWN
        return [
            f"{len(self._repeated):,} keys stand in more than one row: {shown}"
            + (f" and {more:,} more" if more > 0 else "")
            + f". The {later:,} later rows are told apart by their order, as in K (2); name more "
            "columns as the key if one is not enough."
        ]

    def _is_further(self, key: str, system: str) -> bool:
        """Tell whether a key stood in a row before, but never with this system."""
        fresh = (key, system) not in self._systems
        self._systems.add((key, system))
        return fresh and key in self._taken

    def _given(self, rows: Rows, kept: list[str], systems: Sequence[str]) -> dict[int, str]:
        """Return the keys that a rejects file says, by row; the same one twice is a fault."""
        found: dict[int, str] = {}
        for i, key in enumerate(kept):
            if not key:
                continue
            found[i] = key
            number = rows.sheet.numbers[i]
            further = bool(systems) and self._is_further(key, systems[i])
            if key in self._taken and not further:
                wrong = f"it stands in row {self._taken[key]} too"
                rows.fault(i, KEY, Fault(wrong, "Leave one of the two rows"))
            self._taken.setdefault(key, number)
        return found

    def _own(self, key: str, number: int) -> str:
        if key not in self._taken:
            self._taken[key] = number
            return key
        self._repeated.setdefault(key, [self._taken[key]]).append(number)
        self._times[key] = max(1, self._times[key])
        while True:
            self._times[key] += 1
            own = f"{key} ({self._times[key]})"
            if own not in self._taken:
                self._taken[own] = number
                return own


def _joined(parts: list[list[str]]) -> list[str]:
    return [JOINED_BY.join(cells) if all(cells) else "" for cells in zip(*parts, strict=True)]
