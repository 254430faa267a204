"""Photos of sites: added to, never changed; each picture is kept once."""

from collections.abc import Mapping
from dataclasses import fields
from datetime import datetime

from sqlalchemy import ColumnElement, insert, or_, select
from sqlalchemy.orm import Session

from registry.records.photos import Photo
from registry.store.among import among
from registry.store.merges import records_of
from registry.store.tables import PhotoContentRow, PhotoRow, PhotoTakenBackRow

SAID = tuple(one.name for one in fields(Photo) if one.name != "taken_back")
"""The record's fields that are the row's columns."""


def add_photo(session: Session, photo: Photo, pictures: Mapping[str, bytes]) -> None:
    """Add a photo, and its pictures by their digests where none like them is kept yet."""
    for digest, body in pictures.items():
        kept = select(PhotoContentRow.digest).where(PhotoContentRow.digest == digest)
        if session.scalar(kept) is None:
            session.execute(insert(PhotoContentRow), {"digest": digest, "body": body})
    session.execute(insert(PhotoRow), {name: getattr(photo, name) for name in SAID})


def photo_with_id(session: Session, photo_id: str) -> Photo | None:
    """Return a photo by its id, taken back or not; None if there is none."""
    found = _photos(session, PhotoRow.id == photo_id)
    return found[0] if found else None


def photos_of_site(session: Session, site_id: int) -> list[Photo]:
    """Return all photos of one site, the newest first, those taken back among them."""
    return _photos(session, among(session, PhotoRow.site_id, records_of(session, [site_id])))


def sites_with_picture(session: Session, digest: str) -> list[int]:
    """Return the ids of the sites that a picture, or the preview of one, was taken of."""
    is_of = or_(PhotoRow.digest == digest, PhotoRow.preview_digest == digest)
    asked = select(PhotoRow.site_id).where(is_of).distinct()
    return list(session.scalars(asked.order_by(PhotoRow.site_id)))


def picture(session: Session, digest: str) -> bytes:
    """Return the bytes of a picture that is kept."""
    body = session.scalars(
        select(PhotoContentRow.body).where(PhotoContentRow.digest == digest)
    ).one()
    return bytes(body)


def take_back(session: Session, photo_id: str, why: str, who: str, now: datetime) -> None:
    """Note that a photo is not to be shown any more; the first note stands."""
    if session.get(PhotoTakenBackRow, photo_id) is None:
        said = {"photo_id": photo_id, "why": why, "taken_back_by": who, "taken_back_at": now}
        session.execute(insert(PhotoTakenBackRow), said)


def _photos(session: Session, which: ColumnElement[bool]) -> list[Photo]:
    asked = (
        select(PhotoRow, PhotoTakenBackRow.why)
        .outerjoin(PhotoTakenBackRow, PhotoTakenBackRow.photo_id == PhotoRow.id)
        .where(which)
        .order_by(PhotoRow.taken_at.desc(), PhotoRow.id)
    )
    return [
        Photo(**{name: getattr(row, name) for name in SAID}, taken_back=why or "")
        for row, why in session.execute(asked)
    ]
