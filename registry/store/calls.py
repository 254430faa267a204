"""Calls made ahead of visits, as they are noted; none is ever changed."""

from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.calls import CallMade
from registry.store.tables import CallMadeRow


def add_call(session: Session, firm_id: int, call: CallMade) -> None:
    """Note a call."""
    session.add(
        CallMadeRow(
            firm_id=firm_id,
            on_date=call.on_date,
            site_id=call.site_id,
            agreed=call.agreed,
            called_by=call.called_by,
            called_at=call.called_at,
        )
    )
    session.flush()


def calls_on(session: Session, firm_id: int, on_date: date) -> dict[int, CallMade]:
    """Return the newest call about each site's visit on a date, by the site."""
    rows = session.scalars(
        select(CallMadeRow)
        .where(CallMadeRow.firm_id == firm_id, CallMadeRow.on_date == on_date)
        .order_by(CallMadeRow.id)
    )
    return {
        row.site_id: CallMade(
            site_id=row.site_id,
            on_date=row.on_date,
            agreed=row.agreed,
            called_by=row.called_by,
            called_at=row.called_at,
        )
        for row in rows
    }
