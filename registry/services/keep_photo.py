"""Keeping photos that came from a phone or the office, and taking them back."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.field.photos import read_photo
from registry.field.pictures.clean import CleanPhoto, clean_photo
from registry.field.pictures.preview import preview_of
from registry.privacy import require
from registry.records.changes import Role, Viewer
from registry.records.photos import Photo
from registry.records.places import Site
from registry.services.see_photos import own_photo
from registry.services.seen_site import seen_site
from registry.services.visit_form import ACT
from registry.store import Session, names, photos, places
from registry.store.locks import lock_site

SAME_CLOCK_S = 5.0
"""A device's clock that differs by no more than this is right: the way takes as long."""
OF_FORMS = UUID("5f0c9a4e-6a0b-4d0c-8b52-1f7c1a3d9e60")
"""A photo from a form without an id takes one from its picture and visit: sent twice, kept once."""


@dataclass(frozen=True, slots=True)
class KeptPhoto:
    """A photo that is kept; ``is_new`` False = it was kept before and nothing was changed."""

    photo: Photo
    is_new: bool


def keep_photo(
    session: Session,
    viewer: Viewer,
    body: Mapping[str, Any],
    data: bytes,
    now: datetime,
    *,
    sent_at: datetime | None = None,
) -> KeptPhoto:
    """Keep a photo without its metadata; the same photo twice changes nothing.

    The visit and the finding that it names may come later.

    Parameters
    ----------
    body
        What is said of it, see docs/gate.md.
    data
        The picture's file, as it came.
    now
        The server's clock.
    sent_at
        What the device's clock showed when it sent the photo; None where the server's was used.

    Raises
    ------
    AccessError
        If the role may not record visits.
    NotFoundError
        If the site or the technician is not the viewer's.
    RangeError
        If the file is no photo that can be kept, or what is said of it is not complete.
    ConflictError
        If another photo is kept under this id.
    """
    require(viewer, ACT)
    given = str(body.get("site_id", ""))
    site = seen_site(session, viewer, int(given) if given.isascii() and given.isdigit() else 0)
    clean = clean_photo(data)
    digest, preview = _digest(clean.body), preview_of(body.get("preview"), clean)
    pictures = {digest: clean.body} | ({_digest(preview): preview} if preview else {})
    said = _said(session, body, site, clean, digest, now)
    said = replace(said, preview_digest=_digest(preview) if preview else "")
    photo = _by_whom(session, viewer, site, said, sent_at, now)
    lock_site(session, site.id)
    kept = photos.photo_with_id(session, photo.id)
    if kept is not None:
        if (kept.digest, kept.site_id) != (photo.digest, photo.site_id):
            raise ConflictError("Another photo is kept under this id. Send it with one of its own.")
        return KeptPhoto(kept, is_new=False)
    photos.add_photo(session, photo, pictures)
    return KeptPhoto(photo, is_new=True)


def take_back_photo(
    session: Session, viewer: Viewer, photo_id: str, why: str, now: datetime
) -> Photo:
    """Show a photo to nobody any more; it stays in the store, with who took it back and why.

    Raises
    ------
    AccessError
        If the role may not record visits.
    NotFoundError
        If there is no such photo, or it is not the viewer's: a technician takes back the own only.
    RangeError
        If no reason is given.
    """
    require(viewer, ACT)
    photo = own_photo(session, viewer, photo_id)
    if viewer.role is Role.TECHNICIAN and photo.technician_id != viewer.technician_id:
        raise NotFoundError("There is no such photo, or it is not for your sign-in.")
    reason = " ".join(why.split())[:200]
    if not reason:
        raise RangeError("Say why the photo is taken back.")
    photos.take_back(session, photo.id, reason, viewer.name, now)
    return photo


def _digest(body: bytes) -> str:
    return hashlib.sha256(body).hexdigest()


def _said(
    session: Session,
    body: Mapping[str, Any],
    site: Site,
    clean: CleanPhoto,
    digest: str,
    now: datetime,
) -> Photo:
    """Return what is said of a photo and what its picture says."""
    zone = places.jurisdiction(session, site.jurisdiction_id).time_zone
    names_of_it = [str(body.get(name) or "") for name in ("site_id", "visit_id", "finding_id")]
    photo_id = str(uuid5(OF_FORMS, " ".join((*names_of_it, digest))))
    return replace(
        read_photo(body, photo_id, clean.taken or now, zone),
        digest=digest,
        media_type=clean.media_type,
        size_bytes=len(clean.body),
        width_px=clean.width_px,
        height_px=clean.height_px,
    )


def _by_whom(
    session: Session,
    viewer: Viewer,
    site: Site,
    photo: Photo,
    sent_at: datetime | None,
    now: datetime,
) -> Photo:
    """Return a photo with who took it, and how the device's clock stood."""
    known = {number: name for name, number in names.technician_ids(session, site.firm_id).items()}
    who = viewer.technician_id if viewer.role is Role.TECHNICIAN else photo.technician_id
    if who is not None and who not in known:
        raise NotFoundError("There is no such technician in your firm.")
    offset_s = photo.device_offset_s
    if offset_s is None and sent_at is not None:
        offset_s = round((now - sent_at).total_seconds(), 1)
    if offset_s is not None and abs(offset_s) <= SAME_CLOCK_S:
        offset_s = None
    return replace(
        photo,
        technician_id=who,
        technician=known[who] if who is not None else viewer.name,
        device_offset_s=offset_s,
        recorded_by=viewer.name,
        recorded_at=now,
    )
