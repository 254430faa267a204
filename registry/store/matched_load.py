"""Bringing many rows that hang on a site into the registry, matched by some of their fields."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.store.among import among
from registry.store.bulk import default_of, insert_columns, reserve_ids, update_rows
from registry.store.history import Author, as_said, note_changes
from registry.store.locks import lock_tables
from registry.store.site_load import Done
from registry.store.tables import (
    AgreementRow,
    Base,
    ComponentRow,
    PermitConditionRow,
    SystemRow,
    WindowExceptionRow,
)


@dataclass(kw_only=True)
class MatchedLoad:
    """One import of rows of a table; rows that match alike are told apart by their order.

    ``match`` names the fields by which a row is found again; the first of them is the row that it
    hangs on, for example ``system_id``. ``blank_clears`` False means that an empty value leaves
    what is kept. ``touched`` are the sites whose rows were added or changed so far.
    """

    session: Session
    kind: type[Base]
    match: tuple[str, ...]
    by: Author
    blank_clears: bool = False
    touched: set[int] = field(init=False, default_factory=set)
    _times: Counter[tuple[Any, ...]] = field(init=False, default_factory=Counter)

    def __post_init__(self) -> None:
        """Lock out other writers of the table."""
        lock_tables(self.session, self.kind)

    def put(self, rows: Sequence[Mapping[str, Any]], site_ids: Sequence[int]) -> list[Done]:
        """Add rows or bring them up to date; return what was done with each.

        Every row has the same fields, those of ``match`` included; ``site_ids`` are the sites that
        they belong to, for the history.
        """
        if not rows:
            return []
        kept = self._kept({row[self.match[0]] for row in rows}, tuple(rows[0]))
        done = [Done.UNCHANGED] * len(rows)
        new: list[int] = []
        changes: dict[int, dict[str, Any]] = {}
        history: list[Change] = []
        for i, row in enumerate(rows):
            like = tuple(row[name] for name in self.match)
            there = kept.get(like, [])
            place = self._times[like]
            self._times[like] += 1
            if place >= len(there):
                new.append(i)
                done[i] = Done.ADDED
                continue
            row_id, before = there[place]
            found = self._difference(row, before)
            if found:
                done[i] = Done.CHANGED
                changes[row_id] = found
                history += [
                    self._line(row_id, site_ids[i], name, as_said(before[name]), as_said(value))
                    for name, value in found.items()
                ]
        update_rows(self.session, self.kind, changes)
        history += self._add(rows, new, site_ids)
        note_changes(self.session, history)
        self.touched.update(site_ids[i] for i, one in enumerate(done) if one != Done.UNCHANGED)
        return done

    def _kept(
        self, owners: set[Any], fields: tuple[str, ...]
    ) -> dict[tuple[Any, ...], list[tuple[int, dict[str, Any]]]]:
        table: Any = self.kind
        names = tuple(dict.fromkeys((*self.match, *fields)))
        found = self.session.execute(
            select(table.id, *(getattr(table, name) for name in names))
            .where(among(self.session, getattr(table, self.match[0]), sorted(owners)))
            .order_by(table.id)
        )
        kept: dict[tuple[Any, ...], list[tuple[int, dict[str, Any]]]] = {}
        for row_id, *values in found:
            before = dict(zip(names, values, strict=True))
            kept.setdefault(tuple(before[name] for name in self.match), []).append((row_id, before))
        return kept

    def _difference(self, row: Mapping[str, Any], before: dict[str, Any]) -> dict[str, Any]:
        found = {}
        for name, value in row.items():
            if isinstance(value, dict):
                value = before[name] | value  # noqa: PLW2901 - what the source says besides
            elif value is None or value in ("", []):
                if not self.blank_clears:
                    continue
                value = self._empty(name)  # noqa: PLW2901
            if value != before[name]:
                found[name] = value
        return found

    def _add(
        self, rows: Sequence[Mapping[str, Any]], new: list[int], site_ids: Sequence[int]
    ) -> list[Change]:
        if not new:
            return []
        ids = reserve_ids(self.session, self.kind, len(new))
        columns: dict[str, Sequence[Any]] = {"id": ids}
        for name in rows[0]:
            empty = self._empty(name)
            columns[name] = [empty if rows[i][name] is None else rows[i][name] for i in new]
        insert_columns(self.session, self.kind, columns)
        return [
            self._line(row_id, site_ids[i], self.kind.__tablename__, "", _said_whole(rows[i]))
            for row_id, i in zip(ids, new, strict=True)
        ]

    def _empty(self, name: str) -> Any:  # noqa: ANN401 - any value of a column
        return default_of(self.kind.__table__.c[name])

    def _line(self, row_id: int, site_id: int, name: str, before: str, after: str) -> Change:
        return self.by.change(self.kind.__tablename__, row_id, name, before, after, site_id)


_LOADS: dict[str, tuple[type[Base], tuple[str, ...]]] = {
    "systems": (SystemRow, ("site_id", "key")),
    "components": (ComponentRow, ("system_id", "kind", "label")),
    "conditions": (PermitConditionRow, ("system_id", "task", "is_waiver")),
    "agreements": (AgreementRow, ("site_id", "firm_id", "starts_on")),
    "exceptions": (WindowExceptionRow, ("site_id", "on_date")),
}
"""Kind of file → table and the fields by which a row is found again."""


def load_of(name: str, session: Session, by: Author, *, blank_clears: bool = False) -> MatchedLoad:
    """Return what brings systems, components, conditions, agreements or exceptions in."""
    kind, match = _LOADS[name]
    return MatchedLoad(session=session, kind=kind, match=match, by=by, blank_clears=blank_clears)


def _said_whole(row: Mapping[str, Any]) -> str:
    """Return what a new row is, in a few words for the history."""
    words = [as_said(row[name]) for name in ("kind", "label", "task", "key") if row.get(name)]
    return "added" + (f": {', '.join(dict.fromkeys(words))}" if words else "")
