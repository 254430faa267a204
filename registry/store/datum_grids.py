"""Grids of offsets between vertical datums, kept as the files that they came in."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.store.tables import DatumGridRow


def put_grid(session: Session, name: str, digest: str, body: bytes, now: datetime) -> str:
    """Keep a grid by its file's name; return added, changed or unchanged."""
    row = session.get(DatumGridRow, name)
    if row is None:
        session.add(DatumGridRow(name=name, digest=digest, body=body, imported_at=now))
        session.flush()
        return "added"
    if row.digest == digest:
        return "unchanged"
    row.digest, row.body, row.imported_at = digest, body, now
    session.flush()
    return "changed"


def grid_digests(session: Session) -> list[str]:
    """Return the digests of all grids, by name: cheap to ask, and they name the content."""
    return list(session.scalars(select(DatumGridRow.digest).order_by(DatumGridRow.name)))


def grid_body(session: Session, digest: str) -> tuple[str, bytes]:
    """Return the name and the file of a grid."""
    row = session.execute(
        select(DatumGridRow.name, DatumGridRow.body).where(DatumGridRow.digest == digest).limit(1)
    ).one()
    return row[0], row[1]
