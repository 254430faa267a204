"""Who was shown private fields: added to, read by the administrator, forgotten by retention."""

from collections.abc import Iterable
from datetime import UTC, date, datetime

from sqlalchemy import delete, func, insert, or_, select
from sqlalchemy.orm import Session

from registry.records.private_reads import PrivateRead
from registry.store.append_only import erase
from registry.store.tables import PrivateReadRow, SiteRow


def add_reads(session: Session, reads: Iterable[PrivateRead]) -> None:
    """Note looks, all in one statement."""
    names = ("at", "who", "role", "what", "firm_id", "site_id", "on_date")
    rows = [{name: getattr(one, name) for name in names} for one in reads]
    if rows:
        session.execute(insert(PrivateReadRow), rows)


def reads(
    session: Session,
    *,
    firm_id: int | None,
    site_id: int | None,
    who: str,
    since: date | None,
    limit: int,
) -> list[PrivateRead]:
    """Return looks, the newest first; of a site also those at a day or at the whole of its firm."""
    row = PrivateReadRow
    whose = func.coalesce(SiteRow.firm_id, row.firm_id)
    asked = select(row, SiteRow.key).outerjoin(SiteRow, SiteRow.id == row.site_id)
    if firm_id is not None:
        asked = asked.where(or_(whose == firm_id, whose.is_(None)))
    if site_id is not None:
        its = select(SiteRow.firm_id).where(SiteRow.id == site_id).scalar_subquery()
        of_all = row.site_id.is_(None) & or_(row.firm_id == its, row.firm_id.is_(None))
        asked = asked.where(or_(row.site_id == site_id, of_all))
    if who:
        asked = asked.where(row.who == who)
    if since is not None:
        asked = asked.where(row.at >= datetime(since.year, since.month, since.day, tzinfo=UTC))
    found = session.execute(asked.order_by(row.id.desc()).limit(limit))
    return [
        PrivateRead(
            at=one.at,
            who=one.who,
            role=one.role,
            what=one.what,
            firm_id=one.firm_id,
            site_id=one.site_id,
            on_date=one.on_date,
            site=key or "",
        )
        for one, key in found
    ]


def count_before(session: Session, before: datetime) -> int:
    """Return how many looks are older than a moment."""
    return session.scalar(select(func.count()).where(PrivateReadRow.at < before)) or 0


def forget_before(session: Session, before: datetime) -> int:
    """Forget the looks that are older than a moment, as retention has it; return how many."""
    return erase(session, delete(PrivateReadRow).where(PrivateReadRow.at < before))
