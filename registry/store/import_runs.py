"""What was imported, by whom and when."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.errors import NotFoundError
from registry.store.tables import ImportRow


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportRun:
    """One import: which file, by whom, what it did. ``digest`` is the file's SHA-256.

    ``counts`` hold ``undone_at`` once it was taken back.
    """

    at: datetime
    who: str
    kind: str
    file_name: str
    digest: str
    counts: Mapping[str, Any]
    id: int = 0


def note_import(session: Session, run: ImportRun) -> None:
    """Keep a line about an import."""
    session.add(
        ImportRow(
            at=run.at,
            who=run.who,
            kind=run.kind,
            file_name=run.file_name,
            digest=run.digest,
            counts=dict(run.counts),
        )
    )
    session.flush()


def import_runs(session: Session, limit: int = 100) -> list[ImportRun]:
    """Return the last imports, newest first."""
    rows = session.scalars(select(ImportRow).order_by(ImportRow.id.desc()).limit(limit))
    return [_record(row) for row in rows]


def import_run(session: Session, run_id: int) -> ImportRun:
    """Return one import.

    Raises
    ------
    NotFoundError
        If there is no such import.
    """
    row = session.get(ImportRow, run_id)
    if row is None:
        raise NotFoundError(f"There is no import {run_id}. See: riserway imports list.")
    return _record(row)


def note_undone(session: Session, run_id: int, at: datetime, who: str) -> None:
    """Note that an import was taken back."""
    row = session.get(ImportRow, run_id)
    if row is not None:
        row.counts = {**row.counts, "undone_at": at.isoformat(), "undone_by": who}
        session.flush()


def _record(row: ImportRow) -> ImportRun:
    return ImportRun(
        id=row.id,
        at=row.at,
        who=row.who,
        kind=row.kind,
        file_name=row.file_name,
        digest=row.digest,
        counts=row.counts,
    )
