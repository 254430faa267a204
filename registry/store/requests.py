"""How many requests of a kind a sign-in sent; forgotten once they are too old to matter."""

from datetime import datetime

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from registry.store.tables import RequestCountRow


def requests_since(session: Session, subject: str, since: datetime) -> list[tuple[datetime, int]]:
    """Return when a subject sent requests since a moment and how many at once, in order."""
    row = RequestCountRow
    rows = session.execute(
        select(row.at, row.times)
        .where(row.subject == subject, row.at >= since)
        .order_by(row.at, row.id)
    )
    return [(at, times) for at, times in rows]


def note_requests(
    session: Session, subject: str, times: int, at: datetime, forget_before: datetime
) -> None:
    """Count requests, and forget those of all subjects that are too old to matter."""
    session.execute(delete(RequestCountRow).where(RequestCountRow.at < forget_before))
    session.add(RequestCountRow(subject=subject, at=at, times=times))
