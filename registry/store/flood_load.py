"""Bringing flood hazard areas and base flood elevation lines into the registry."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.records.elevation import Elevation
from registry.records.flood import BfeLine, FloodArea
from registry.store.among import among
from registry.store.bulk import insert_columns, update_rows
from registry.store.history import Author, as_said, note_changes
from registry.store.locks import lock_tables
from registry.store.site_load import Done
from registry.store.tables import BfeLineRow, FloodAreaRow

type _Layer = type[FloodAreaRow] | type[BfeLineRow]


@dataclass
class FloodLoad:
    """One import of flood layers; holds their tables until the session ends."""

    session: Session
    by: Author

    def __post_init__(self) -> None:
        """Lock out other writers."""
        lock_tables(self.session, FloodAreaRow, BfeLineRow)

    def put_areas(self, areas: Sequence[FloodArea]) -> list[Done]:
        """Add areas or bring them up to date by their source key; return what was done."""
        return self._put(
            FloodAreaRow,
            [
                {
                    "source_key": one.source_key,
                    "zone": one.zone,
                    "subtype": one.subtype,
                    "sfha": one.sfha,
                    "static_bfe_ft": _ft(one.static_bfe),
                    "datum": _datum(one.static_bfe),
                    "depth_ft": one.depth_ft,
                    "geom": one.geometry,
                    "given": one.given,
                }
                for one in areas
            ],
        )

    def put_lines(self, lines: Sequence[BfeLine], given: Sequence[Mapping[str, str]]) -> list[Done]:
        """Add lines or bring them up to date by their source key; return what was done."""
        return self._put(
            BfeLineRow,
            [
                {
                    "source_key": one.source_key,
                    "elevation_ft": one.elevation.value_ft,
                    "datum": one.elevation.datum,
                    "geom": one.geometry,
                    "given": dict(attributes),
                }
                for one, attributes in zip(lines, given, strict=True)
            ],
        )

    def _put(self, kind: _Layer, rows: list[dict[str, Any]]) -> list[Done]:
        if not rows:
            return []
        names = tuple(rows[0])
        found = self.session.execute(
            select(kind.id, *(getattr(kind, name) for name in names)).where(
                among(self.session, kind.source_key, [row["source_key"] for row in rows])
            )
        )
        kept = {row.source_key: row for row in found}
        done: list[Done] = []
        new: list[dict[str, Any]] = []
        changes: dict[int, dict[str, Any]] = {}
        history: list[Change] = []
        for row in rows:
            before = kept.get(row["source_key"])
            if before is None:
                new.append(row)
                done.append(Done.ADDED)
                continue
            other = {
                name: value
                for name, value in row.items()
                if not _same(getattr(before, name), value)
            }
            done.append(Done.CHANGED if other else Done.UNCHANGED)
            if other:
                changes[before.id] = other
                history += [
                    self.by.change(kind.__tablename__, before.id, name, *_said(name, before, value))
                    for name, value in other.items()
                ]
        update_rows(self.session, kind, changes)
        if new:
            insert_columns(self.session, kind, {name: [row[name] for row in new] for name in names})
        note_changes(self.session, history)
        return done


def has_layers(session: Session) -> bool:
    """Tell whether any flood hazard area or base flood elevation line is kept."""
    areas = session.scalar(select(FloodAreaRow.id).limit(1))
    return areas is not None or session.scalar(select(BfeLineRow.id).limit(1)) is not None


def _same(before: Any, after: Any) -> bool:  # noqa: ANN401 - any value of a column
    if hasattr(after, "geom_type"):
        return bool(before.equals_exact(after, 0.0))
    return bool(before == after)


def _said(name: str, before: Any, value: Any) -> tuple[str, str]:  # noqa: ANN401 - any value
    if name == "geom":
        return "another outline", f"{value.geom_type} within {_box(value)}"
    return as_said(getattr(before, name)), as_said(value)


def _box(geometry: Any) -> str:  # noqa: ANN401 - shapely
    return ", ".join(f"{one:.5f}" for one in geometry.bounds)


def _ft(elevation: Elevation | None) -> float | None:
    return None if elevation is None else elevation.value_ft


def _datum(elevation: Elevation | None) -> str:
    return "" if elevation is None else elevation.datum
