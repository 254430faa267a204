"""Values that wait beside those in force: adding them, listing what is open, settling."""

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from registry.records.proposals import Proposal, Why
from registry.store.tables import ProposalRow, ProposalSettledRow, SiteRow


def add_proposals(session: Session, proposals: Iterable[Proposal]) -> None:
    """Keep values that are to be settled."""
    rows = [
        {
            "site_id": one.site_id,
            "at": one.at,
            "who": one.who,
            "kind": one.kind,
            "row_id": one.row_id,
            "field": one.field,
            "before": one.before,
            "value": one.value,
            "why": one.why.value,
        }
        for one in proposals
    ]
    if rows:
        session.execute(insert(ProposalRow), rows)


def open_proposals(session: Session, site_id: int) -> list[Proposal]:
    """Return what waits at a site, oldest first."""
    rows = session.scalars(
        select(ProposalRow)
        .outerjoin(ProposalSettledRow)
        .where(ProposalRow.site_id == site_id, ProposalSettledRow.proposal_id.is_(None))
        .order_by(ProposalRow.id)
    )
    return [
        Proposal(
            id=row.id,
            site_id=row.site_id,
            kind=row.kind,
            row_id=row.row_id,
            field=row.field,
            before=row.before,
            value=row.value,
            why=Why(row.why),
            who=row.who,
            at=row.at,
        )
        for row in rows
    ]


def sites_with_proposals(session: Session, firm_id: int) -> list[tuple[int, str]]:
    """Return id and number of the firm's sites at which something waits, by number."""
    rows = session.execute(
        select(SiteRow.id, SiteRow.key)
        .join(ProposalRow, ProposalRow.site_id == SiteRow.id)
        .outerjoin(ProposalSettledRow)
        .where(SiteRow.firm_id == firm_id, ProposalSettledRow.proposal_id.is_(None))
        .distinct()
        .order_by(SiteRow.key)
    )
    return [(row.id, row.key) for row in rows]


def settle_proposals(session: Session, taken: dict[int, bool], *, who: str, at: datetime) -> None:
    """Note of some proposals whether they were taken."""
    rows = [
        {"proposal_id": one, "at": at, "who": who, "taken": is_taken}
        for one, is_taken in taken.items()
    ]
    if rows:
        session.execute(insert(ProposalSettledRow), rows)
