"""From the names of firms, jurisdictions and technicians to their ids."""

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from registry.store.tables import FirmRow, JurisdictionRow, SiteRow, TechnicianRow


def firm_ids(session: Session) -> dict[str, int]:
    """Return the id of every firm by name."""
    rows = session.execute(select(FirmRow.name, FirmRow.id))
    return {row[0]: row[1] for row in rows}


def jurisdiction_ids(session: Session) -> dict[str, int]:
    """Return the id of every jurisdiction by name."""
    rows = session.execute(select(JurisdictionRow.name, JurisdictionRow.id))
    return {row[0]: row[1] for row in rows}


def technician_ids(session: Session, firm_id: int) -> dict[str, int]:
    """Return the id of every technician of a firm by name."""
    rows = session.execute(
        select(TechnicianRow.name, TechnicianRow.id).where(TechnicianRow.firm_id == firm_id)
    )
    return {row[0]: row[1] for row in rows}


def zone_of_firm(session: Session, firm_id: int) -> str:
    """Return the time zone of the jurisdiction in which a firm has most sites, UTC without any."""
    zone = session.scalar(
        select(JurisdictionRow.time_zone)
        .join(SiteRow, SiteRow.jurisdiction_id == JurisdictionRow.id)
        .where(SiteRow.firm_id == firm_id)
        .group_by(JurisdictionRow.id, JurisdictionRow.time_zone)
        .order_by(func.count().desc(), JurisdictionRow.id)
        .limit(1)
    )
    return zone or "UTC"


def is_site_of(session: Session, firm_id: int, site_id: int) -> bool:
    """Tell whether a site is one of a firm's."""
    found = select(SiteRow.id).where(SiteRow.id == site_id, SiteRow.firm_id == firm_id)
    return session.scalar(found) is not None
