"""The change history: who, when, which field, what it was before and is after."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.records.places import LonLat, WindowException
from registry.store.among import among
from registry.store.merges import records_of
from registry.store.tables import ChangeRow
from registry.units import MIN_PER_DAY, MIN_PER_H


@dataclass(frozen=True, slots=True)
class Author:
    """Who changes something, from which file or page, and when."""

    who: str
    at: datetime
    source: str = ""

    def change(
        self,
        kind: str,
        row_id: int | str,
        field: str,
        before: str,
        after: str,
        site_id: int | None = None,
    ) -> Change:
        """Return one line of the history by this author."""
        return Change(
            at=self.at,
            who=self.who,
            source=self.source,
            kind=kind,
            row_id=str(row_id),
            site_id=site_id,
            field=field,
            before=before,
            after=after,
        )


def as_said(value: Any) -> str:  # noqa: ANN401 - any value of a field
    """Return a field's value as the history shows it, empty for none."""
    match value:
        case None:
            said = ""
        case bool():
            said = "yes" if value else "no"
        case float():
            said = f"{value:.15g}" if float(f"{value:.15g}") == value else repr(value)
        case LonLat():
            said = f"{value.lat!r}, {value.lon!r}"
        case WindowException():
            said = _dated(value)
        case date():
            said = value.isoformat()
        case {"kind": kind, "note": note}:
            said = f"{kind}: {note}" if note else str(kind)
        case dict():
            said = "; ".join(f"{name} = {as_said(one)}" for name, one in value.items())
        case list() | tuple():
            said = "; ".join(as_said(one) for one in value)
        case _:
            said = str(value)
    return said


def note_changes(session: Session, changes: Iterable[Change]) -> None:
    """Add lines to the history."""
    lines = [
        {
            "at": one.at,
            "who": one.who,
            "source": one.source,
            "kind": one.kind,
            "row_id": one.row_id,
            "site_id": one.site_id,
            "field": one.field,
            "before": one.before,
            "after": one.after,
        }
        for one in changes
    ]
    if lines:
        session.execute(insert(ChangeRow), lines)


def history_of(session: Session, site_id: int, *, limit: int | None = None) -> list[Change]:
    """Return what was changed at a site, newest first."""
    return history_of_sites(session, [site_id], limit=limit)


def history_of_sites(
    session: Session, site_ids: Iterable[int], *, limit: int | None = None
) -> list[Change]:
    """Return what was changed at some sites and the records merged into them, newest first."""
    rows = session.scalars(
        select(ChangeRow)
        .where(among(session, ChangeRow.site_id, records_of(session, site_ids)))
        .order_by(ChangeRow.id.desc())
        .limit(limit)
    )
    return [_change(row) for row in rows]


def line_of(session: Session, change_id: int) -> Change | None:
    """Return one line of the history, None if there is no such line."""
    row = session.get(ChangeRow, change_id)
    return None if row is None else _change(row)


def last_line(session: Session, like: Change) -> Change | None:
    """Return the newest line about the same field of the same row."""
    row = session.scalar(
        select(ChangeRow)
        .where(
            ChangeRow.site_id == like.site_id,
            ChangeRow.kind == like.kind,
            ChangeRow.row_id == like.row_id,
            ChangeRow.field == like.field,
        )
        .order_by(ChangeRow.id.desc())
        .limit(1)
    )
    return None if row is None else _change(row)


def _change(row: ChangeRow) -> Change:
    return Change(
        id=row.id,
        at=row.at,
        who=row.who,
        source=row.source,
        kind=row.kind,
        row_id=row.row_id,
        site_id=row.site_id,
        field=row.field,
        before=row.before,
        after=row.after,
    )


def _dated(hours: WindowException) -> str:
    """Return other hours on one date: ``2026-07-03 closed (away)``."""
    if hours.opens_min is None:
        said = "closed"
    else:
        closes_min = MIN_PER_DAY if hours.closes_min is None else hours.closes_min
        said = f"{_clock(hours.opens_min)}–{_clock(closes_min)}"
    note = f" ({hours.note})" if hours.note else ""
    return f"{hours.on_date.isoformat()} {said}{note}"


def _clock(minutes: int) -> str:
    return f"{minutes // MIN_PER_H:02}:{minutes % MIN_PER_H:02}"
