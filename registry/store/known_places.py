"""Places that sites are located by, and what may be a site's place."""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from registry.records.known_places import KnownPlace, PlaceKind, PlaceOffer
from registry.records.places import LonLat
from registry.store.among import among
from registry.store.bulk import insert_columns, reserve_ids, update_rows
from registry.store.history import Author, as_said, note_changes
from registry.store.locks import lock_tables
from registry.store.scope import Scope
from registry.store.tables import KnownPlaceRow, PlaceOfferRow, SiteRow

_PLACE = ("said", "town", "lon", "lat", "accuracy_m", "source")


def put_places(session: Session, source: str, places: Sequence[KnownPlace]) -> tuple[int, int]:
    """Let a layer's places be these; return how many are new and how many went."""
    lock_tables(session, KnownPlaceRow)
    rows = session.execute(
        select(
            KnownPlaceRow.id,
            KnownPlaceRow.kind,
            KnownPlaceRow.code,
            KnownPlaceRow.loose,
            *(getattr(KnownPlaceRow, name) for name in _PLACE),
        ).where(KnownPlaceRow.source == source)
    )
    kept: dict[tuple[Any, ...], list[int]] = {}
    for row in rows:
        kept.setdefault(tuple(row[1:]), []).append(row[0])
    new = []
    for wanted, times in Counter(_columns(one) for one in places).items():
        there = kept.get(wanted, [])
        new += [wanted] * max(0, times - len(there))
        del there[:times]
    gone = [one for ids in kept.values() for one in ids]
    session.execute(
        delete(KnownPlaceRow)
        .where(among(session, KnownPlaceRow.id, gone))
        .execution_options(synchronize_session=False)
    )
    if new:
        names = ("kind", "code", "loose", *_PLACE)
        columns: dict[str, Sequence[Any]] = dict(zip(names, zip(*new, strict=True), strict=True))
        ids = reserve_ids(session, KnownPlaceRow, len(new))
        insert_columns(session, KnownPlaceRow, {"id": ids} | columns)
    return len(new), len(gone)


def has_places(session: Session) -> bool:
    """Tell whether there is anything to locate sites by."""
    return session.scalar(select(KnownPlaceRow.id).limit(1)) is not None


def places_with(
    session: Session, kind: PlaceKind, codes: Collection[str], loose: Collection[str] = ()
) -> list[KnownPlace]:
    """Return the places of a kind that have one of the codes or of the loose codes, once each."""
    columns = [KnownPlaceRow.id, KnownPlaceRow.code, KnownPlaceRow.loose]
    columns += [getattr(KnownPlaceRow, name) for name in _PLACE]
    found: dict[int, KnownPlace] = {}
    for column, values in ((KnownPlaceRow.code, codes), (KnownPlaceRow.loose, loose)):
        if not values:
            continue
        asked = select(*columns).where(
            KnownPlaceRow.kind == kind.value, among(session, column, sorted(values))
        )
        for row in session.execute(asked.order_by(KnownPlaceRow.id)):
            told = row._asdict()
            row_id, place = told.pop("id"), LonLat(told.pop("lon"), told.pop("lat"))
            found[row_id] = KnownPlace(kind=kind, place=place, **told)
    return list(found.values())


def place_sites(session: Session, found: Sequence[tuple[int, KnownPlace]], by: Author) -> None:
    """Give sites without a position one, with its source and accuracy, and note it."""
    changes = {
        site_id: {
            "lon": one.place.lon,
            "lat": one.place.lat,
            "position_source": one.words,
            "position_accuracy_m": one.accuracy_m,
        }
        for site_id, one in found
    }
    before = {
        row.id: row._asdict()
        for row in session.execute(
            select(
                SiteRow.id,
                SiteRow.lon,
                SiteRow.lat,
                SiteRow.position_source,
                SiteRow.position_accuracy_m,
            ).where(among(session, SiteRow.id, changes))
        )
    }
    update_rows(session, SiteRow, changes)
    note_changes(
        session,
        [
            by.change("site", site_id, name, as_said(was), as_said(fields[name]), site_id)
            for site_id, fields in changes.items()
            for name, was in before[site_id].items()
            if name != "id" and was != fields[name]
        ],
    )
    forget_offers(session, changes)


def forget_offers(session: Session, site_ids: Iterable[int]) -> None:
    """Forget what was offered for sites; what was refused too."""
    session.execute(
        delete(PlaceOfferRow)
        .where(among(session, PlaceOfferRow.site_id, site_ids))
        .execution_options(synchronize_session=False)
    )


def put_offers(session: Session, offers: Sequence[PlaceOffer]) -> None:
    """Keep places that sites may be at."""
    if not offers:
        return
    lock_tables(session, PlaceOfferRow)
    insert_columns(
        session,
        PlaceOfferRow,
        {
            "id": reserve_ids(session, PlaceOfferRow, len(offers)),
            "site_id": [one.site_id for one in offers],
            "kind": [one.place.kind.value for one in offers],
            "said": [one.place.said for one in offers],
            "town": [one.place.town for one in offers],
            "lon": [one.place.place.lon for one in offers],
            "lat": [one.place.place.lat for one in offers],
            "accuracy_m": [one.place.accuracy_m for one in offers],
            "source": [one.place.source for one in offers],
            "score": [one.score for one in offers],
            "why": [one.why for one in offers],
            "refused": [one.refused for one in offers],
        },
    )


def offers(session: Session, scope: Scope, site_id: int | None = None) -> list[PlaceOffer]:
    """Return what may be the place of the sites of a scope, or of one site; the likeliest first."""
    asked = (
        select(PlaceOfferRow)
        .join(SiteRow, SiteRow.id == PlaceOfferRow.site_id)
        .where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
        .order_by(PlaceOfferRow.site_id, PlaceOfferRow.score.desc(), PlaceOfferRow.id)
    )
    if site_id is not None:
        asked = asked.where(PlaceOfferRow.site_id == site_id)
    return [
        PlaceOffer(
            site_id=row.site_id,
            place=KnownPlace(
                kind=PlaceKind(row.kind),
                code="",
                said=row.said,
                town=row.town,
                place=LonLat(row.lon, row.lat),
                accuracy_m=row.accuracy_m,
                source=row.source,
            ),
            score=row.score,
            why=row.why,
            refused=row.refused,
        )
        for row in session.scalars(asked.execution_options(populate_existing=True))
    ]


def refuse_offers(session: Session, site_id: int) -> None:
    """Note that a site is at none of the places that were offered."""
    session.execute(
        update(PlaceOfferRow).where(PlaceOfferRow.site_id == site_id).values(refused=True)
    )


def _columns(one: KnownPlace) -> tuple[Any, ...]:
    place = (one.said, one.town, one.place.lon, one.place.lat, one.accuracy_m, one.source)
    return (one.kind.value, one.code, one.loose, *place)
