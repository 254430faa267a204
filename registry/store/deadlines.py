"""Agreements that end without a successor, and letters that nobody answered yet."""

from datetime import date

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session, aliased

from registry.records.deadlines import AgreementEnding
from registry.store.replaced import is_replaced
from registry.store.scope import Scope
from registry.store.tables import (
    AgreementRow,
    FirmRow,
    LetterRow,
    SiteRow,
    SystemDueRow,
    VisitRow,
)


def agreements_ending(
    session: Session, scope: Scope, until: date, limit: int
) -> list[AgreementEnding]:
    """Return the agreements that end until a date and that no other follows, the latest end first.

    Another agreement of the site follows if it has no end, or a later one.
    """
    row, after = AgreementRow, aliased(AgreementRow)
    followed = (
        select(after.id)
        .where(after.site_id == row.site_id, after.id != row.id)
        .where(
            or_(
                after.ends_on.is_(None),
                after.ends_on > row.ends_on,
                (after.ends_on == row.ends_on) & (after.id > row.id),
            )
        )
        .exists()
    )
    rows = session.execute(
        select(
            row.id,
            SiteRow.id,
            SiteRow.key,
            SiteRow.address,
            SiteRow.town,
            FirmRow.name,
            row.ends_on,
            row.renews_on,
        )
        .join(SiteRow, SiteRow.id == row.site_id)
        .join(FirmRow, FirmRow.id == row.firm_id)
        .where(SiteRow.active, row.ends_on.is_not(None), row.ends_on <= until, ~followed)
        .where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
        .order_by(row.ends_on.desc(), SiteRow.key, row.id)
        .limit(limit)
    )
    return [
        AgreementEnding(
            agreement_id=one[0],
            site_id=one[1],
            site=one[2],
            address=one[3],
            town=one[4],
            firm=one[5],
            ends_on=one[6],
            renews_on=one[7],
        )
        for one in rows
        if one[6] is not None
    ]


def letters_unanswered(
    session: Session, scope: Scope, on_date: date
) -> list[tuple[int, str, str, str, date, int]]:
    """Return the sites whose owner was written to and where nothing was done since.

    Each: site, its number, address, town, the day of the last letter, how many were written. Left
    out is a site that was visited since, or where nothing is overdue any more.
    """
    last_on = func.max(LetterRow.written_on)
    visited = (
        select(VisitRow.id)
        .where(VisitRow.site_id == LetterRow.site_id, ~is_replaced(VisitRow.id))
        .where(VisitRow.on_date >= LetterRow.written_on, VisitRow.outcome != "not reached")
        .exists()
    )
    owes = (
        select(SystemDueRow.system_id)
        .where(SystemDueRow.site_id == LetterRow.site_id, SystemDueRow.due_on < on_date)
        .exists()
    )
    rows = session.execute(
        select(SiteRow.id, SiteRow.key, SiteRow.address, SiteRow.town, last_on, func.count())
        .join(SiteRow, SiteRow.id == LetterRow.site_id)
        .where(LetterRow.written_on <= on_date, ~visited, owes)
        .where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
        .group_by(SiteRow.id, SiteRow.key, SiteRow.address, SiteRow.town)
        .order_by(last_on, SiteRow.key)
    )
    return [(one[0], one[1], one[2], one[3], one[4], one[5]) for one in rows]
