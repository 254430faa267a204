"""Keys of rows: one column or several, and which of several rows with the same key."""

from collections import Counter
from dataclasses import dataclass, field

from registry.imports.cells import fault_in
from registry.imports.rows import Rows
from registry.imports.sheet import KEY

SHOWN = 5
LONGEST = 200
JOINED_BY = " / "


@dataclass
class RowKeys:
    """Gives every row of a file a key of its own.

    Rows that repeat a key are told apart by their order: K, K (2), K (3). A row that was rejected
    and mended keeps the key that the rejects file says.
    """

    columns: tuple[str, ...]
    _taken: set[str] = field(default_factory=set)
    _times: Counter[str] = field(default_factory=Counter)
    _repeated: Counter[str] = field(default_factory=Counter)

    def of(self, rows: Rows) -> list[str]:
        """Return the key of each row, "" where it has none; that is a fault of the row."""
        sheet = rows.sheet
        parts = [[cell.strip() for cell in sheet.columns[one]] for one in self.columns]
        plain = parts[0] if len(parts) == 1 else _joined(parts)
        kept = sheet.columns.get(KEY)
        given = {cell.strip() for cell in kept} - {""} if kept else set()
        self._taken |= given
        name = ", ".join(self.columns)
        keys: list[str] = []
        for i, key in enumerate(plain):
            if kept and kept[i].strip():
                keys.append(kept[i].strip())
                continue
            keys.append(self._own(key) if key else "")
            if not key:
                rows.faults.setdefault(i, []).append(
                    (name, "the key is empty", "Give the row its site number")
                )
            elif len(key) > LONGEST or not key.isprintable():
                wrong = fault_in(key)
                said = wrong.wrong if wrong else "the key is too long or goes over several lines"
                rows.faults.setdefault(i, []).append((name, said, "Give a short key"))
        return keys

    def warnings(self) -> list[str]:
        """Return which keys stood in several rows."""
        if not self._repeated:
            return []
        rows = sum(self._repeated.values())
        shown = ", ".join(f"{key} ({times + 1} times)" for key, times in self._first())
        more = len(self._repeated) - SHOWN
        return [
            f"{len(self._repeated):,} keys stand in more than one row: {shown}"
            + (f" and {more:,} more" if more > 0 else "")
            + f". The {rows:,} later rows are told apart by their order, as in K (2)."
        ]

    def _first(self) -> list[tuple[str, int]]:
        return list(self._repeated.items())[:SHOWN]

    def _own(self, key: str) -> str:
        if key not in self._taken:
            self._taken.add(key)
            self._times[key] = 1
            return key
        self._repeated[key] += 1
        while True:
            self._times[key] = max(1, self._times[key]) + 1
            own = f"{key} ({self._times[key]})"
            if own not in self._taken:
                self._taken.add(own)
                return own


def _joined(parts: list[list[str]]) -> list[str]:
    return [JOINED_BY.join(cells) if all(cells) else "" for cells in zip(*parts, strict=True)]
