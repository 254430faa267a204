"""What an authority knows of a system beside its due dates: letters, visits that owe a report."""

from collections.abc import Iterable
from datetime import date

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from registry.store.among import among
from registry.store.merges import records_of
from registry.store.replaced import is_replaced
from registry.store.tables import GateVisitRow, LetterRow, ReportInRow, VisitRow


def letter_days(session: Session, site_ids: Iterable[int]) -> dict[int, tuple[date, ...]]:
    """Return by site on which days its owner was written to, the last first."""
    records = records_of(session, site_ids)
    found: dict[int, list[date]] = {}
    rows = session.execute(
        select(LetterRow.site_id, LetterRow.written_on)
        .where(among(session, LetterRow.site_id, records))
        .order_by(LetterRow.written_on.desc(), LetterRow.id.desc())
    )
    for site_id, written_on in rows:
        found.setdefault(records[site_id], []).append(written_on)
    return {site_id: tuple(days) for site_id, days in found.items()}


def visits_that_report(session: Session, site_ids: Iterable[int]) -> dict[str, int]:
    """Return the visits in force of some sites of which a report is owed or came in: their sites.

    They were recorded at the gate, or a report tells of them.
    """
    records = records_of(session, site_ids)
    asked = (
        select(VisitRow.id, VisitRow.site_id)
        .outerjoin(GateVisitRow, GateVisitRow.visit_id == VisitRow.id)
        .outerjoin(ReportInRow, ReportInRow.visit_id == VisitRow.id)
        .where(among(session, VisitRow.site_id, records), ~is_replaced(VisitRow.id))
        .where(or_(GateVisitRow.visit_id.is_not(None), ReportInRow.visit_id.is_not(None)))
    )
    return {row[0]: records[row[1]] for row in session.execute(asked)}
