"""Records that point on to another of the same site: what was recorded under them counts there.

Visits, readings, findings, photos and letters keep the record under which they came; every
question about a site asks for those of all its records. Pointers are one step long: merging a
record moves the pointers of those that point to it.
"""

from collections.abc import Iterable

from sqlalchemy import ColumnElement, SQLColumnExpression, or_, select
from sqlalchemy.orm import Session, aliased

from registry.store.tables import SiteRow, SystemRow


def records_of(session: Session, site_ids: Iterable[int]) -> dict[int, int]:
    """Return all records of some sites → the record that holds; alone it is the site itself."""
    to = merged_sites(session)
    holding = {to.get(one, one) for one in site_ids}
    return {one: one for one in holding} | {
        one: held for one, held in to.items() if held in holding
    }


def merged_sites(session: Session) -> dict[int, int]:
    """Return every record that points on → the site that it points to; they are few."""
    return _pointers(session, SiteRow)


def same_systems(session: Session) -> dict[int, int]:
    """Return every record of a system that points on → the system that it points to."""
    return _pointers(session, SystemRow)


def is_record_of(
    recorded_at: SQLColumnExpression[int], site_id: SQLColumnExpression[int]
) -> ColumnElement[bool]:
    """Return the condition that something was recorded at a site or at one that points to it."""
    other = aliased(SiteRow)
    pointing = select(other.id).where(other.merged_into_id == site_id)
    return or_(recorded_at == site_id, recorded_at.in_(pointing))


def _pointers(session: Session, row: type[SiteRow | SystemRow]) -> dict[int, int]:
    rows = session.execute(
        select(row.id, row.merged_into_id).where(row.merged_into_id.is_not(None))
    )
    return {one: to for one, to in rows if to is not None}
