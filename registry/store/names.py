"""From the names of firms, jurisdictions and technicians to their ids."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.store.tables import FirmRow, JurisdictionRow, TechnicianRow


def firm_ids(session: Session) -> dict[str, int]:
    """Return the id of every firm by name."""
    return dict(session.execute(select(FirmRow.name, FirmRow.id)))


def jurisdiction_ids(session: Session) -> dict[str, int]:
    """Return the id of every jurisdiction by name."""
    return dict(session.execute(select(JurisdictionRow.name, JurisdictionRow.id)))


def technician_ids(session: Session, firm_id: int) -> dict[str, int]:
    """Return the id of every technician of a firm by name."""
    rows = session.execute(
        select(TechnicianRow.name, TechnicianRow.id).where(TechnicianRow.firm_id == firm_id)
    )
    return dict(rows)
