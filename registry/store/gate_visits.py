"""Visits from the gate and what was found: added to, never changed, whole as they were sent."""

from collections.abc import Iterable
from dataclasses import fields

from sqlalchemy import insert, select
from sqlalchemy.orm import Session, aliased

from registry.records.gate_visit import Finding, GateVisit
from registry.store.among import among
from registry.store.bodies import from_body, to_body
from registry.store.tables import FindingRow, GateVisitRow, VisitRow

FINDING = tuple(one.name for one in fields(Finding))
"""The record's fields, which are the row's columns."""


def digest_of(session: Session, visit_id: str) -> str | None:
    """Return the digest of what was sent under an id, None if nothing was."""
    return session.scalar(select(GateVisitRow.digest).where(GateVisitRow.visit_id == visit_id))


def add_gate_visit(session: Session, visit: GateVisit, digest: str) -> None:
    """Add a visit as it was sent, with its findings; the visit itself is stored already."""
    session.execute(
        insert(GateVisitRow),
        {
            "visit_id": visit.id,
            "digest": digest,
            "ending": visit.ending.value,
            "arrived_at": visit.arrived_at,
            "left_at": visit.left_at,
            "device_offset_s": visit.device_offset_s,
            "body": to_body(visit),
        },
    )
    if visit.findings:
        session.execute(
            insert(FindingRow),
            [{name: getattr(one, name) for name in FINDING} for one in visit.findings],
        )


def gate_visit(session: Session, visit_id: str) -> GateVisit | None:
    """Return a visit as it was sent, None if none was sent under this id."""
    body = session.scalar(select(GateVisitRow.body).where(GateVisitRow.visit_id == visit_id))
    return None if body is None else from_body(GateVisit, body)


def gate_visits(session: Session, visit_ids: Iterable[str]) -> dict[str, GateVisit]:
    """Return by id those visits that came from a gate."""
    rows = session.execute(
        select(GateVisitRow.visit_id, GateVisitRow.body).where(
            among(session, GateVisitRow.visit_id, visit_ids)
        )
    )
    return {visit_id: from_body(GateVisit, body) for visit_id, body in rows}


def superseded_by(session: Session, visit_id: str) -> str:
    """Return the id of the visit that corrects another, empty if none does."""
    return session.scalar(select(VisitRow.id).where(VisitRow.supersedes == visit_id)) or ""


def corrections_of_site(session: Session, site_id: int) -> dict[str, str]:
    """Return the visits of a site that were corrected, each with the visit that corrects it."""
    asked = select(VisitRow.supersedes, VisitRow.id).where(
        VisitRow.site_id == site_id, VisitRow.supersedes.is_not(None)
    )
    return {old: new for old, new in session.execute(asked) if old}


def findings_of_sites(
    session: Session, site_ids: Iterable[int], *, with_superseded: bool = False
) -> list[Finding]:
    """Return what was found at some sites, the newest first; not what a correction took back."""
    asked = (
        select(*(getattr(FindingRow, name) for name in FINDING))
        .join(VisitRow, VisitRow.id == FindingRow.visit_id)
        .where(among(session, FindingRow.site_id, site_ids))
        .order_by(VisitRow.on_date.desc(), FindingRow.kind, FindingRow.id)
    )
    if not with_superseded:
        newer = aliased(VisitRow)
        asked = asked.where(
            ~select(newer.id).where(newer.supersedes == FindingRow.visit_id).exists()
        )
    return [Finding(**dict(zip(FINDING, row, strict=True))) for row in session.execute(asked)]
