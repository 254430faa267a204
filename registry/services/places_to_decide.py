"""Sites without a position, each with the places that it may be at."""

from dataclasses import dataclass

from registry.errors import NotFoundError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.known_places import PlaceOffer
from registry.services.locate_sites import ACT
from registry.store import Session, known_places
from registry.store.scope import scope_of
from registry.store.site_places import placed_sites


@dataclass(frozen=True, slots=True, kw_only=True)
class ToLocate:
    """A site without a position; ``offers`` are the places that were not refused, likeliest first.

    ``was_refused`` tells that a person has said of some place that it is not this site's.
    """

    site_id: int
    site: str
    address: str
    town: str
    parcel: str
    offers: tuple[PlaceOffer, ...]
    was_refused: bool


def places_to_decide(session: Session, viewer: Viewer) -> list[ToLocate]:
    """Return the active sites of a viewer that have no position, those with offers first.

    Raises
    ------
    AccessError
        If the role may not decide.
    """
    require(viewer, ACT)
    scope = scope_of(viewer)
    offered: dict[int, list[PlaceOffer]] = {}
    for one in known_places.offers(session, scope):
        offered.setdefault(one.site_id, []).append(one)
    found = [
        ToLocate(
            site_id=one.id,
            site=one.key,
            address=one.address,
            town=one.town,
            parcel=one.parcel,
            offers=tuple(each for each in offered.get(one.id, ()) if not each.refused),
            was_refused=any(each.refused for each in offered.get(one.id, ())),
        )
        for one in placed_sites(session, scope, to_be_located=True)
    ]
    return sorted(found, key=lambda one: (not one.offers, one.site))


def place_to_decide(session: Session, viewer: Viewer, site_id: int) -> ToLocate:
    """Return one site with the places that it may be at.

    Raises
    ------
    AccessError
        If the role may not decide.
    NotFoundError
        If nothing is offered for the site.
    """
    for one in places_to_decide(session, viewer):
        if one.site_id == site_id and one.offers:
            return one
    raise NotFoundError("Nothing is offered for this site any more. Look at the list again.")
