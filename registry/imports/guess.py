"""Recognising columns by their names; what leaves a doubt is told and not used."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from registry.imports.cells import trimmed
from registry.imports.column_map import ColumnMap
from registry.imports.dates import DateColumn
from registry.imports.fields import KEY_NAMES, Field
from registry.imports.numbers import numbers
from registry.imports.sheet import KEY, REASON, Sheet

SAMPLE = 1000
FITS_SHARE = 0.9
"""Share of a sample's cells that must read as numbers or dates; our estimate."""


@dataclass(frozen=True, slots=True)
class Guess:
    """A guessed map: what is used, what was in doubt, which columns no field takes."""

    map: ColumnMap
    doubts: list[str] = field(default_factory=list)
    unused: list[str] = field(default_factory=list)

    def told(self) -> list[str]:
        """Return the guess in sentences for people."""
        used = [f"{name} ← {column}" for name, column in self.map.columns.items()]
        if self.map.key:
            used.insert(0, f"key ← {' + '.join(self.map.key)}")
        said = [f"Columns recognised: {', '.join(used) or 'none'}."]
        said += self.doubts
        if self.unused:
            said.append(f"Columns not used: {', '.join(self.unused)}.")
        return said


def simple(name: str) -> str:
    """Return a column's name as it is compared: small letters and digits only."""
    return "".join(one for one in name.casefold() if one.isalnum())


def guess(sheet: Sheet, columns: Sequence[str], known: Sequence[Field], *, keyed: bool) -> Guess:
    """Guess a column map from the names of columns and a sample of their cells.

    Parameters
    ----------
    keyed
        Whether the rows have a key of their own, as sites have.
    """
    doubts: list[str] = []
    found: dict[str, str] = {}
    by_name: dict[str, list[str]] = {}
    for column in columns:
        by_name.setdefault(simple(column), []).append(column)
    key = _key(sheet, by_name, doubts) if keyed else ()
    for one in known:
        if one.name in {"lon", "lat"} and sheet.geometries is not None:
            continue
        own = by_name.get(simple(one.name), [])
        other = [column for name in one.also for column in by_name.get(name, [])]
        candidates = own or [column for column in other if column not in key]
        if len(candidates) > 1:
            doubts.append(
                f"{one.name} may be {' or '.join(candidates)}: say which in a column map."
            )
        elif candidates and (own or _fits(sheet, candidates[0], one)):
            found[one.name] = candidates[0]
        elif candidates:
            doubts.append(
                f"{candidates[0]} is not used as {one.name}: too many of its cells are no "
                f"{'dates' if one.kind == 'date' else 'numbers'}."
            )
    if ("lon" in found) != ("lat" in found):
        alone = "lon" if "lon" in found else "lat"
        doubts.append(f"{found.pop(alone)} is not used as {alone}: the other half is missing.")
    twice = [c for c in found.values() if list(found.values()).count(c) > 1]
    for column in dict.fromkeys(twice):
        names = [name for name, one in found.items() if one == column]
        found = {name: one for name, one in found.items() if one != column}
        doubts.append(f"{column} may be {' or '.join(names)}: say which in a column map.")
    used = {*found.values(), *key, REASON, KEY}
    return Guess(
        ColumnMap(key=key, columns=found), doubts, [one for one in columns if one not in used]
    )


def _key(sheet: Sheet, by_name: dict[str, list[str]], doubts: list[str]) -> tuple[str, ...]:
    """Return the column of the key: ``key`` itself, or another whose cells do not repeat."""
    own = by_name.get("key", [])
    if len(own) == 1:
        return (own[0],)
    candidates = [column for name in KEY_NAMES for column in by_name.get(name, [])]
    fitting = []
    for column in candidates:
        cells = trimmed(sheet.columns.get(column, []), keep_words=True)
        if cells and all(cells) and len(set(cells)) == len(cells):
            fitting.append(column)
        elif cells:
            doubts.append(f"{column} is not used as the key: its cells repeat or are empty.")
    if len(fitting) > 1:
        doubts.append(f"The key may be {' or '.join(fitting)}: say which in a column map.")
    return (fitting[0],) if len(fitting) == 1 else ()


def _fits(sheet: Sheet, column: str, one: Field) -> bool:
    if one.kind not in {"number", "count", "date"}:
        return True
    cells = [cell for cell in trimmed(sheet.columns.get(column, [])[:SAMPLE]) if cell]
    if not cells:
        return True
    wrong = DateColumn("M/D/Y").read(cells)[1] if one.kind == "date" else numbers(cells, one)[1]
    return len(wrong) <= (1 - FITS_SHARE) * len(cells)
