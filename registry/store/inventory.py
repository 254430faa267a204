"""Which sites there are within a scope."""

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from registry.records.places import Box
from registry.store.scope import Scope
from registry.store.tables import SiteRow


def ids_in_scope(session: Session, scope: Scope) -> list[int]:
    """Return the ids of all sites of a scope, in order; records that point on are none."""
    conditions = scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id)
    holds = SiteRow.merged_into_id.is_(None)
    return list(session.scalars(select(SiteRow.id).where(holds, *conditions).order_by(SiteRow.id)))


def extent(session: Session, scope: Scope) -> Box | None:
    """Return the box around the sites of a scope that have a position, None where none has."""
    edges = (
        func.min(SiteRow.lon),
        func.min(SiteRow.lat),
        func.max(SiteRow.lon),
        func.max(SiteRow.lat),
    )
    mine = scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id)
    # one question: asked alone, the first longitude of a county is sought along the whole store's
    west, south, east, north = session.execute(select(*edges).where(*mine)).one()
    if west is None or south is None or east is None or north is None:
        return None
    return Box(west, south, east, north)
