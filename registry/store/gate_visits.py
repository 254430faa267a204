"""Visits from the gate and what was found: added to, never changed, whole as they were sent."""

from collections.abc import Iterable
from dataclasses import fields, replace
from datetime import date

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from registry.records.gate_visit import Finding, GateVisit
from registry.store.among import among
from registry.store.bodies import from_body, to_body
from registry.store.merges import records_of
from registry.store.replaced import is_replaced
from registry.store.tables import FindingRow, GateVisitRow, SiteRow, VisitRow, VisitSettledRow

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
    add_findings(session, visit.findings)


def add_findings(session: Session, findings: Iterable[Finding]) -> None:
    """Add what was found at visits that are stored already."""
    rows = [{name: getattr(one, name) for name in FINDING} for one in findings]
    if rows:
        session.execute(insert(FindingRow), rows)


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
    """Return the id of the visit that corrects or settles another, empty if none does."""
    settled = select(VisitSettledRow.visit_id).where(VisitSettledRow.over_id == visit_id)
    corrected = select(VisitRow.id).where(VisitRow.supersedes == visit_id)
    return session.scalar(corrected) or session.scalar(settled) or ""


def corrections_of_site(session: Session, site_id: int) -> dict[str, str]:
    """Return the visits of a site that were corrected, each with the visit that corrects it."""
    here = among(session, VisitRow.site_id, records_of(session, [site_id]))
    asked = select(VisitRow.supersedes, VisitRow.id).where(here, VisitRow.supersedes.is_not(None))
    settled = (
        select(VisitSettledRow.over_id, VisitSettledRow.visit_id)
        .join(VisitRow, VisitRow.id == VisitSettledRow.visit_id)
        .where(here)
    )
    found = [*session.execute(asked), *session.execute(settled)]
    return {old: new for old, new in found if old}


def settle(session: Session, visit_id: str, over: Iterable[str]) -> None:
    """Keep that a visit stands over others that were recorded of the same visit."""
    rows = [{"over_id": one, "visit_id": visit_id} for one in over]
    if rows:
        session.execute(insert(VisitSettledRow), rows)


def settled_by(session: Session, visit_id: str) -> list[str]:
    """Return the ids of the visits over which a settlement stands besides the one it supersedes."""
    row = VisitSettledRow
    return list(
        session.scalars(select(row.over_id).where(row.visit_id == visit_id).order_by(row.over_id))
    )


def recorded_twice(
    session: Session, firm_id: int, since: date, site_id: int | None = None
) -> list[list[str]]:
    """Return the ids of visits of one site and date that stand beside each other, oldest first."""
    asked = (
        select(VisitRow.site_id, VisitRow.on_date, VisitRow.id)
        .join(GateVisitRow, GateVisitRow.visit_id == VisitRow.id)
        .join(SiteRow, SiteRow.id == VisitRow.site_id)
        .where(SiteRow.firm_id == firm_id, VisitRow.on_date >= since, ~is_replaced(VisitRow.id))
        .order_by(VisitRow.on_date, VisitRow.site_id, VisitRow.recorded_at, VisitRow.id)
    )
    if site_id is not None:
        asked = asked.where(among(session, VisitRow.site_id, records_of(session, [site_id])))
    together: dict[tuple[int, date], list[str]] = {}
    for site, on_date, visit_id in session.execute(asked):
        together.setdefault((site, on_date), []).append(visit_id)
    return [ids for ids in together.values() if len(ids) > 1]


def findings_of_sites(
    session: Session, site_ids: Iterable[int], *, with_superseded: bool = False
) -> list[Finding]:
    """Return what was found at some sites, the newest first; not what a correction took back."""
    records = records_of(session, site_ids)
    asked = (
        select(*(getattr(FindingRow, name) for name in FINDING))
        .join(VisitRow, VisitRow.id == FindingRow.visit_id)
        .where(among(session, FindingRow.site_id, records))
        .order_by(VisitRow.on_date.desc(), FindingRow.kind, FindingRow.id)
    )
    if not with_superseded:
        asked = asked.where(~is_replaced(FindingRow.visit_id))
    found = [Finding(**dict(zip(FINDING, row, strict=True))) for row in session.execute(asked)]
    return [replace(one, site_id=records[one.site_id]) for one in found]
