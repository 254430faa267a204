"""That personal fields were blanked: by whom, of what, why, how many; never what they held."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from registry.store.tables import ErasureRow


@dataclass(frozen=True, slots=True)
class Erasure:
    """One erasure; ``counts`` by table."""

    at: datetime
    who: str
    subject: str
    reason: str
    counts: dict[str, int]


def add_erasure(
    session: Session, who: str, subject: str, reason: str, counts: dict[str, int], now: datetime
) -> None:
    """Note an erasure."""
    session.execute(
        insert(ErasureRow),
        {"at": now, "who": who, "subject": subject, "reason": reason, "counts": counts},
    )


def erasures(session: Session) -> list[Erasure]:
    """Return all erasures, the newest first."""
    rows = session.scalars(select(ErasureRow).order_by(ErasureRow.id.desc()))
    return [Erasure(one.at, one.who, one.subject, one.reason, one.counts) for one in rows]
