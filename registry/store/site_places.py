"""Where sites are and what tells them from others, many at once."""

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.places import LonLat
from registry.store.scope import Scope
from registry.store.tables import SiteRow


@dataclass(frozen=True, slots=True)
class PlacedSite:
    """A site by what places it: address, town and parcel as written, and its position if known."""

    id: int
    key: str
    address: str
    town: str
    parcel: str
    lon_lat: LonLat | None


def placed_sites(
    session: Session, scope: Scope, *, active: bool = False, to_be_located: bool = False
) -> list[PlacedSite]:
    """Return the sites of a scope by id; ``to_be_located`` only active ones without a position."""
    asked = select(
        SiteRow.id,
        SiteRow.key,
        SiteRow.address,
        SiteRow.town,
        SiteRow.parcel,
        SiteRow.lon,
        SiteRow.lat,
    ).where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
    if active or to_be_located:
        asked = asked.where(SiteRow.active)
    if to_be_located:
        asked = asked.where(SiteRow.lon.is_(None))
    return [
        PlacedSite(*row[:5], None if row[5] is None or row[6] is None else LonLat(row[5], row[6]))
        for row in session.execute(asked.order_by(SiteRow.id))
    ]
