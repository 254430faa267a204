"""What was imported, by whom and when."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.store.tables import ImportRow


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportRun:
    """One import: which file, by whom, what it did. ``digest`` is the file's SHA-256."""

    at: datetime
    who: str
    kind: str
    file_name: str
    digest: str
    counts: Mapping[str, Any]


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
    return [
        ImportRun(
            at=row.at,
            who=row.who,
            kind=row.kind,
            file_name=row.file_name,
            digest=row.digest,
            counts=row.counts,
        )
        for row in rows
    ]
