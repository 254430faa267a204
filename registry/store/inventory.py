"""Which sites there are within a scope."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.store.scope import Scope
from registry.store.tables import SiteRow


def ids_in_scope(session: Session, scope: Scope) -> list[int]:
    """Return the ids of all sites of a scope, in order."""
    conditions = scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id)
    return list(session.scalars(select(SiteRow.id).where(*conditions).order_by(SiteRow.id)))
