"""Finding the places of sites that have none: by parcel number, then by address."""

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from registry.errors import NotFoundError
from registry.imports.addresses import AddressBook, has_addresses, taken_apart
from registry.imports.parcel_numbers import code, likeness, loose_code
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.geodesy import geodesic_m
from registry.records.known_places import KnownPlace, PlaceKind, PlaceOffer
from registry.records.places import LonLat
from registry.store import Author, Session, known_places
from registry.store.scope import Scope, scope_of
from registry.store.site_places import PlacedSite, placed_sites

ACT = "decide on imports"
CERTAIN, OFFERED = 97.0, 70.0
"""From which likeness a place is taken, and from which it is offered; our estimates."""
SURE, CLEAR_BY = 100.0, 10.0
"""What is the same to the letter has rivals among the certain only; what is less than that is taken
when no other place comes so near in likeness; our estimates."""
SAME_PLACE_M = 15.0
"""Places nearer together than this are one; our estimate."""
MOST_OFFERS = 6


@dataclass(kw_only=True)
class Located:
    """What locating did: sites that were placed, that have offers, and for which nothing is known.

    ``notes`` say what could not be tried.
    """

    placed: list[int] = field(default_factory=list)
    doubtful: list[int] = field(default_factory=list)
    unknown: list[int] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def locate_sites(
    session: Session, scope: Scope, by: Author, site_ids: Collection[int] | None = None
) -> Located:
    """Place every site that is surely at one known place; offer the others what is alike.

    Nothing is guessed: a site is placed where one place alone has its parcel number or its
    address; all else waits for a person. What was refused once is not offered again.
    """
    sites = placed_sites(session, scope, to_be_located=True)
    if site_ids is not None:
        wanted = {*site_ids}
        sites = [one for one in sites if one.id in wanted]
    done = Located()
    if not sites or not known_places.has_places(session):
        done.unknown = [one.id for one in sites]
        return done
    found = _by_parcel(session, sites)
    if has_addresses():
        _add(found, _by_address(session, sites))
    elif any(one.address for one in sites):
        done.notes.append(
            "Addresses are not looked at: that needs pip install 'riserway[addresses]'."
        )
    ids = {one.id for one in sites}
    refused = {
        (one.site_id, one.place.words): one
        for one in known_places.offers(session, scope)
        if one.refused and one.site_id in ids
    }
    placed, kept = [], list(refused.values())
    for site in sites:
        offered = [one for one in found[site.id] if (one.site_id, one.place.words) not in refused]
        certain = _certain(offered)
        if certain is not None:
            placed.append((site.id, certain))
            done.placed.append(site.id)
            continue
        kept += [replace(one, why=_doubt(one, offered)) for one in offered[:MOST_OFFERS]]
        (done.doubtful if offered else done.unknown).append(site.id)
    known_places.forget_offers(session, ids)
    known_places.place_sites(session, placed, by)
    known_places.put_offers(session, [one for one in kept if one.site_id not in {*done.placed}])
    return done


def take_offer(
    session: Session, viewer: Viewer, site_id: int, at: LonLat, now: datetime
) -> PlaceOffer:
    """Place a site at the one of its offered places that a person says.

    Raises
    ------
    AccessError
        If the role may not decide.
    NotFoundError
        If nothing of the kind is offered any more.
    """
    require(viewer, ACT)
    for one in known_places.offers(session, scope_of(viewer), site_id):
        if one.place.place == at and not one.refused:
            by = Author(viewer.name, now, "located by hand")
            known_places.place_sites(session, [(one.site_id, one.place)], by)
            return one
    raise NotFoundError("This place is not offered any more. Look at the list again.")


def refuse_offers(session: Session, viewer: Viewer, site_id: int) -> None:
    """Note that a site is at none of the places that are offered for it.

    Raises
    ------
    AccessError
        If the role may not decide.
    NotFoundError
        If nothing is offered for it.
    """
    require(viewer, ACT)
    if not known_places.offers(session, scope_of(viewer), site_id):
        raise NotFoundError("Nothing is offered for this site any more. Look at the list again.")
    known_places.refuse_offers(session, site_id)


def _by_parcel(session: Session, sites: Sequence[PlacedSite]) -> dict[int, list[PlaceOffer]]:
    numbers = {one.parcel for one in sites if code(one.parcel)}
    known = known_places.places_with(
        session, PlaceKind.PARCEL, {code(n) for n in numbers}, {loose_code(n) for n in numbers}
    )
    by_code: dict[str, list[KnownPlace]] = defaultdict(list)
    for one in known:
        for name in {one.code, f"~{one.loose}"}:
            by_code[name].append(one)

    def alike(site: PlacedSite) -> list[tuple[float, KnownPlace]]:
        if not code(site.parcel):
            return []
        near = by_code[code(site.parcel)] + by_code[f"~{loose_code(site.parcel)}"]
        return [(likeness(site.parcel, one.said), one) for one in _once(near)]

    return _offered(sites, alike)


def _by_address(session: Session, sites: Sequence[PlacedSite]) -> dict[int, list[PlaceOffer]]:
    wanted = {one.id: taken_apart(one.address, one.town) for one in sites if one.address}
    houses = {one.number for one in wanted.values() if one.number}
    known = known_places.places_with(session, PlaceKind.ADDRESS, houses)
    book = AddressBook([(taken_apart(one.said, one.town), one) for one in known])

    def alike(site: PlacedSite) -> list[tuple[float, KnownPlace]]:
        mine = wanted.get(site.id)
        return book.alike(mine, OFFERED) if mine is not None and mine.number else []

    return _offered(sites, alike)


def _offered(
    sites: Sequence[PlacedSite], alike: Callable[[PlacedSite], list[tuple[float, KnownPlace]]]
) -> dict[int, list[PlaceOffer]]:
    found: dict[int, list[PlaceOffer]] = {}
    for site in sites:
        near = [one for one in alike(site) if one[0] >= OFFERED]
        near.sort(key=lambda one: (-one[0], one[1].words))
        found[site.id] = [
            PlaceOffer(site_id=site.id, place=place, score=round(likely, 1), why="")
            for likely, place in near
        ]
    return found


def _add(found: dict[int, list[PlaceOffer]], more: dict[int, list[PlaceOffer]]) -> None:
    """Join what two ways found, so that a place of each that contradicts the other is a doubt."""
    for site_id, offers in more.items():
        found[site_id] = sorted([*found[site_id], *offers], key=lambda one: -one.score)


def _certain(offered: Sequence[PlaceOffer]) -> KnownPlace | None:
    """Return the place that a site surely has, if it has one.

    A parcel and an address point agree where the point is within the parcel's farthest corner.
    The more exact of the two is taken: the address point stands at the house.
    """
    sure = [one.place for one in offered if one.score >= CERTAIN]
    if not sure:
        return None
    best = offered[0].score
    rival = CERTAIN if best == SURE else best - CLEAR_BY
    near = [one.place for one in offered if one.score >= rival]
    if not all(_agree(one, other) for one in near for other in near):
        return None
    return next((one for one in sure if one.kind is PlaceKind.ADDRESS), sure[0])


def _agree(one: KnownPlace, other: KnownPlace) -> bool:
    reach_m = SAME_PLACE_M
    if one.kind is not other.kind:
        reach_m = max(SAME_PLACE_M, one.accuracy_m or 0.0, other.accuracy_m or 0.0)
    return one is other or geodesic_m(one.place, other.place) <= reach_m


def _doubt(one: PlaceOffer, offered: Sequence[PlaceOffer]) -> str:
    by = "parcel number" if one.place.kind is PlaceKind.PARCEL else "address"
    others = [other for other in offered if not _agree(one.place, other.place)]
    if one.score >= CERTAIN and others:
        fit = "1 other place fits" if len(others) == 1 else f"{len(others)} other places fit"
        return f"the {by} is the same, but {fit} as well"
    if one.score >= CERTAIN:
        return f"the {by} is the same"
    return f"the {by} is alike, not the same"


def _once(places: Collection[KnownPlace]) -> list[KnownPlace]:
    return list({id(one): one for one in places}.values())
