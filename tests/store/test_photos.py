"""Photos in both stores: each picture once, nothing changed, nothing deleted; clocks put right."""

import hashlib
from base64 import b64decode, b64encode
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import delete, func, select, text, update
from sqlalchemy.exc import DBAPIError

from registry.errors import AccessError, ConflictError, NotFoundError, RangeError, StoreError
from registry.field.photos import taken_at
from registry.field.pictures.clean import clean_photo
from registry.records.changes import Role, Viewer
from registry.services.keep_photo import KeptPhoto, keep_photo, take_back_photo
from registry.services.see_photos import see_photos, see_picture
from registry.store import Session, Store, photos
from registry.store.tables import (
    JurisdictionRow,
    PhotoContentRow,
    PhotoRow,
    PhotoTakenBackRow,
    TechnicianRow,
)
from tests.store.due_rows import add, county, house
from tests.unit.field.pictures.shots import exif, shot

NOW = datetime(2026, 6, 15, 19, 30, tzinfo=UTC)
OFFICE = Viewer(name="office", role=Role.DISPATCHER, firm_id=1)
HANDS = Viewer(name="hands", role=Role.TECHNICIAN, firm_id=1, technician_id=7)
CLERK = Viewer(name="clerk", role=Role.COUNTY, jurisdiction_ids=(1,))
FIRST, SECOND = (f"cccccccc-0000-4000-8000-00000000000{n}" for n in (1, 2))
SHOT = shot(exif=exif(3))


@pytest.fixture
def here(session: Session) -> Session:
    """Two sites of one firm, and a technician."""
    county(session, "NC")
    session.get_one(JurisdictionRow, 1).time_zone = "America/New_York"
    house(session, 1)
    house(session, 2)
    hours = {"shift_from_min": 480, "shift_to_min": 960}
    add(session, TechnicianRow(id=7, firm_id=1, name="Invented Hands", initials="IH", **hours))
    return session


def kept(
    session: Session,
    viewer: Viewer = HANDS,
    data: bytes = SHOT,
    sent_at: datetime | None = None,
    **said: Any,
) -> KeptPhoto:
    """Keep a photo of the first site."""
    body = {"id": FIRST, "site_id": 1, "taken_at": "2026-06-15T14:05:00-04:00"} | said
    return keep_photo(session, viewer, body, data, NOW, sent_at=sent_at)


def rows(session: Session, kind: type) -> int:
    """How many rows a table has."""
    return session.scalar(select(func.count()).select_from(kind)) or 0


def test_a_picture_is_kept_once_under_the_hash_of_its_clean_bytes(here: Session) -> None:
    assert kept(here).is_new
    assert kept(here, id=SECOND, site_id=2).is_new
    assert not kept(here).is_new
    clean = clean_photo(SHOT).body
    digest = hashlib.sha256(clean).hexdigest()
    assert here.scalars(select(PhotoContentRow.digest)).all() == [digest]
    assert photos.picture(here, digest) == clean
    assert photos.sites_with_picture(here, digest) == [1, 2]
    (one,) = photos.photos_of_site(here, 1)
    assert (one.digest, one.size_bytes, one.media_type) == (digest, len(clean), "image/jpeg")
    assert (one.technician, one.recorded_by) == ("Invented Hands", "hands")


def small(size: tuple[int, int] = (32, 24), kind: str = "JPEG") -> str:
    """A preview as a phone sends it."""
    return b64encode(shot(kind, size, **({"exif": exif()} if kind == "JPEG" else {}))).decode()


def test_a_preview_is_kept_beside_its_photo_and_goes_with_it(here: Session) -> None:
    photo = kept(here, OFFICE, preview=small()).photo
    body = clean_photo(b64decode(small())).body
    assert photo.preview_digest == hashlib.sha256(body).hexdigest()
    assert see_picture(here, HANDS, photo.preview_digest)[1] == body
    with pytest.raises(NotFoundError):
        see_picture(here, CLERK, photo.preview_digest)
    take_back_photo(here, OFFICE, FIRST, "a face", NOW)
    with pytest.raises(NotFoundError):
        see_picture(here, OFFICE, photo.preview_digest)


@pytest.mark.parametrize(
    "preview",
    [
        *(7, "", "no base64 …", b64encode(b"no picture").decode(), "A" * 100_000),
        *(small((24, 32)), small((64, 30)), small((640, 480), "PNG")),
    ],
)
def test_a_preview_that_does_not_fit_its_photo_is_left_out_and_the_photo_is_kept(
    here: Session, preview: object
) -> None:
    assert kept(here, preview=preview).photo.preview_digest == ""
    assert rows(here, PhotoContentRow) == 1


def test_another_photo_under_the_same_id_is_refused(here: Session) -> None:
    kept(here)
    for changed in ({"data": shot("PNG")}, {"site_id": 2}):
        with pytest.raises(ConflictError, match="one of its own"):
            kept(here, **changed)
    assert rows(here, PhotoRow) == 1


@pytest.mark.parametrize(
    ("slow_s", "offset_s"), [(0, None), (4, None), (86_400, 86_400.0), (-90, -90.0)]
)
def test_a_clock_that_is_wrong_is_put_right_by_its_offset(
    here: Session, slow_s: int, offset_s: float | None
) -> None:
    photo = kept(here, sent_at=NOW - timedelta(seconds=slow_s)).photo
    assert photo.device_offset_s == offset_s
    given = datetime(2026, 6, 15, 18, 5, tzinfo=UTC)
    assert photo.taken_at == given
    assert taken_at(photo) == given + timedelta(seconds=offset_s or 0)


def test_a_photo_that_says_no_moment_takes_its_own_else_the_servers(here: Session) -> None:
    told = kept(here, taken_at="").photo
    assert told.taken_at.isoformat() == "2026-06-15T14:05:00-04:00"  # local in the county's zone
    untold = kept(here, id=SECOND, data=shot(exif=exif(taken="")), taken_at="").photo
    assert untold.taken_at == NOW


def test_who_may_keep_see_and_take_back_a_photo(here: Session) -> None:
    kept(here, OFFICE)
    with pytest.raises(AccessError):
        kept(here, CLERK, id=SECOND)
    other = Viewer(name="other", role=Role.DISPATCHER, firm_id=2)
    for viewer in (other, HANDS):
        with pytest.raises(NotFoundError):
            take_back_photo(here, viewer, FIRST, "why", NOW)
    with pytest.raises(RangeError, match="Say why"):
        take_back_photo(here, OFFICE, FIRST, " \n", NOW)
    digest = photos.photos_of_site(here, 1)[0].digest
    assert see_picture(here, HANDS, digest)[0].id == FIRST
    for viewer in (other, CLERK):
        with pytest.raises(NotFoundError):
            see_picture(here, viewer, digest)
    for why in ("a face", "another word"):
        take_back_photo(here, OFFICE, FIRST, why, NOW)
    with pytest.raises(NotFoundError):
        see_picture(here, OFFICE, digest)
    assert see_photos(here, OFFICE, 1).photos == ()
    (back,) = see_photos(here, OFFICE, 1, with_taken_back=True).photos
    assert back.taken_back == "a face"
    assert not kept(here, OFFICE).is_new


@pytest.mark.parametrize(
    "what",
    [
        update(PhotoRow).values(caption="another"),
        delete(PhotoRow),
        update(PhotoContentRow).values(body=b""),
        delete(PhotoContentRow),
        delete(PhotoTakenBackRow),
        text("DELETE FROM photo"),
    ],
    ids=str,
)
def test_a_photo_is_neither_changed_nor_deleted(store: Store, what: Any) -> None:
    with store.session() as session:
        county(session, "NC")
        house(session, 1)
        kept(session, OFFICE)
        take_back_photo(session, OFFICE, FIRST, "a face", NOW)
    with (
        pytest.raises((StoreError, DBAPIError), match="append-only"),
        store.session() as session,
    ):
        session.execute(what)
    with store.reading() as session:
        assert [rows(session, one) for one in (PhotoContentRow, PhotoRow, PhotoTakenBackRow)] == [
            1,
            1,
            1,
        ]
