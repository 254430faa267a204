"""Bringing gauges, rivers, levels, stages and low points of roads into the registry."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import delete, inspect, select, update
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.store.among import among
from registry.store.bulk import insert_columns
from registry.store.history import Author, as_said, note_changes
from registry.store.locks import lock_tables
from registry.store.site_load import Done
from registry.store.tables import (
    Base,
    GaugeRow,
    LowPointRow,
    RiverLevelRow,
    RiverLineRow,
    StageRow,
)

type Row = dict[str, Any]

KEYS: dict[type[Base], tuple[str, ...]] = {
    GaugeRow: ("name",),
    RiverLineRow: ("source_key",),
    RiverLevelRow: ("gauge_id", "stage_ft", "station_mi"),
    StageRow: ("gauge_id", "at", "is_forecast"),
    LowPointRow: ("name",),
}
"""By which columns a row of a file is the same as one that is kept."""


@dataclass
class RiverLoad:
    """One import of what is known of rivers; holds its table until the session ends."""

    session: Session
    by: Author
    kind: type[Base]

    def __post_init__(self) -> None:
        """Lock out other writers."""
        lock_tables(self.session, self.kind)

    def put(self, rows: Sequence[Row]) -> list[Done]:
        """Add rows or bring them up to date by their key; return what was done with each."""
        if not rows:
            return []
        names = tuple(rows[0])
        own = [column.key for column in inspect(self.kind).primary_key if column.key is not None]
        key = KEYS[self.kind]
        columns = dict.fromkeys((*own, *names))
        asked = select(*(getattr(self.kind, name) for name in columns))
        if "gauge_id" in columns:
            gauge_ids = {row["gauge_id"] for row in rows}
            asked = asked.where(among(self.session, self.kind.gauge_id, gauge_ids))  # type: ignore[attr-defined]  # such tables have one
        kept = {
            tuple(getattr(row, name) for name in key): row for row in self.session.execute(asked)
        }
        done: list[Done] = []
        new: list[Row] = []
        changed: list[Row] = []
        history: list[Change] = []
        for row in rows:
            before = kept.get(tuple(row[name] for name in key))
            if before is None:
                new.append(row)
                done.append(Done.ADDED)
                continue
            other = {name: one for name, one in row.items() if not _same(before, name, one)}
            done.append(Done.CHANGED if other else Done.UNCHANGED)
            if other:
                mine = {name: getattr(before, name) for name in own}
                changed.append(mine | row)
                row_id = "/".join(as_said(one) for one in mine.values())
                history += [
                    self.by.change(
                        self.kind.__tablename__, row_id, name, *_said(before, name, value)
                    )
                    for name, value in other.items()
                ]
        if changed:
            self.session.execute(update(self.kind), changed)
        if new:
            insert_columns(
                self.session, self.kind, {name: [row[name] for row in new] for name in names}
            )
        note_changes(self.session, history)
        return done

    def keep_only(self, rows: Sequence[Row], *, forecast: bool = False) -> int:
        """Take away what the file's gauges had and the file leaves out; return how much went.

        A table of levels is one thing, and so is a forecast: rows of an older one beside those of a
        newer one would be a river that nobody computed.
        """
        kind: Any = self.kind
        given = {tuple(row[name] for name in KEYS[kind]) for row in rows}
        asked = select(*(getattr(kind, name) for name in KEYS[kind])).where(
            among(self.session, kind.gauge_id, {row["gauge_id"] for row in rows})
        )
        if forecast:
            asked = asked.where(kind.is_forecast)
        gone = [one for one in self.session.execute(asked) if tuple(one) not in given]
        for one in gone:
            matches = [getattr(kind, name) == one[i] for i, name in enumerate(KEYS[kind])]
            self.session.execute(delete(kind).where(*matches))
        return len(gone)


def _same(before: Any, name: str, after: Any) -> bool:  # noqa: ANN401 - a row, any value of it
    kept = getattr(before, name)
    return bool(kept.equals_exact(after, 0.0) if hasattr(after, "geom_type") else kept == after)


def _said(before: Any, name: str, after: Any) -> tuple[str, str]:  # noqa: ANN401 - as above
    if name == "geom":
        return "another place", f"{after.geom_type}, {len(after.wkt):,} signs"
    return as_said(getattr(before, name)), as_said(after)
