"""Records that may be one site twice: listed for a person, none merged by itself."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from registry.imports.addresses import plain_address
from registry.imports.same_site import Placed, SameSites
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.foreign_rows import MatchOffer
from registry.services.see_merge import ACT
from registry.services.seen_site import seen_site
from registry.store import Session, merging, places
from registry.store.scope import Scope
from registry.store.site_places import PlacedSite, placed_sites


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two records that may be one site, and what speaks for it; the older record first."""

    first: PlacedSite
    then: PlacedSite
    why: MatchOffer


def likely_pairs(session: Session, viewer: Viewer) -> list[Pair]:
    """Return the pairs of records that may be one site, the likeliest first.

    They share a parcel or an address, or lie within 30 m and do not say two addresses. Pairs of
    which somebody said that they are two sites are left out.

    Raises
    ------
    AccessError
        If the role may not merge.
    """
    require(viewer, ACT)
    firms = [viewer.firm_id] if viewer.firm_id else [one.id for one in places.firms(session)]
    parted = merging.apart(session)
    found = [
        one
        for firm_id in firms
        for one in _pairs(placed_sites(session, Scope(firm_id), active=True))
        if (one.first.id, one.then.id) not in parted
    ]
    return sorted(found, key=lambda one: (-one.why.score, one.first.id, one.then.id))


def say_apart(session: Session, viewer: Viewer, one: int, other: int, now: datetime) -> None:
    """Note that two records are two sites; they are not listed again.

    Raises
    ------
    AccessError
        If the role may not merge.
    NotFoundError
        If one of them is not the viewer's.
    """
    require(viewer, ACT)
    ids = [seen_site(session, viewer, each).id for each in (one, other)]
    merging.put_apart(session, ids[0], ids[1], viewer.name, now)


def _pairs(sites: list[PlacedSite]) -> Iterator[Pair]:
    placed = [
        Placed(
            id=one.id,
            parcel=one.parcel,
            address=one.address,
            town=one.town,
            lon_lat=one.lon_lat,
        )
        for one in sites
    ]
    by_id = {one.id: one for one in sites}
    for one, offers in zip(sites, SameSites(placed).offers(placed), strict=True):
        for offer in offers:
            then = by_id[offer.site_id]
            if one.id < then.id and (
                offer.same_parcel or offer.same_address or not _say_two(one, then)
            ):
                yield Pair(first=one, then=then, why=offer)


def _say_two(one: PlacedSite, then: PlacedSite) -> bool:
    """Tell whether two records name two addresses."""
    said = {plain_address(each.address) for each in (one, then) if each.address}
    return len(said) > 1
