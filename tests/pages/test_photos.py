"""Photos through the test client: taken in once, shown by role, asked for anew each time."""

import io
import json
import re
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select, update
from werkzeug.datastructures import FileStorage
from werkzeug.test import encode_multipart

from registry.field.pictures.clean import MOST_BYTES
from registry.records.changes import Role, Viewer
from registry.services.users import add_user
from registry.store import photos
from registry.store.tables import FirmRow, JurisdictionRow, PhotoRow, SiteRow
from tests.pages.test_recording_a_visit import form_of, sent, whole
from tests.pages.visitors import DAY, OWN, ROLES, Client, sign_in
from tests.unit.field.pictures.shots import PLANTED, exif, opened, shot

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from registry.wiring import Parts

SECRET = "a password for tests"  # noqa: S105
SITE, THEIRS, OTHER, QUIET = 21, 2, 22, 23
VISIT = "aaaaaaaa-0000-4000-8000-000000000001"
FINDING = "bbbbbbbb-0000-4000-8000-000000000001"
TABLE = ("dispatcher", "technician", "county", "administrator", "others", "clerk")


def uuid(number: int) -> str:
    """An id for a photo."""
    return f"cccccccc-0000-4000-8000-{number:012d}"


@pytest.fixture(scope="module")
def visitor(app: "Flask", parts: "Parts", client: Client) -> Client:
    """The county's sign-ins, and those of another firm and another jurisdiction."""
    with parts.store.session() as session:
        firm, place = FirmRow(name="Other Firm"), JurisdictionRow(name="Other County")
        session.add_all([firm, place])
        session.flush()
        session.execute(
            update(SiteRow)
            .where(SiteRow.id == THEIRS)
            .values(firm_id=firm.id, jurisdiction_id=place.id)
        )
        for viewer in (
            Viewer(name="others", role=Role.DISPATCHER, firm_id=firm.id),
            Viewer(name="clerk", role=Role.COUNTY, jurisdiction_ids=(place.id,)),
        ):
            add_user(session, viewer, SECRET, parts.now())
    made = {name: app.test_client() for name in ("others", "clerk")}
    for name, one in made.items():
        assert sign_in(one, name, SECRET).status_code == 302
    return lambda name: made[name] if name in made else client(name)


def post(who: "FlaskClient", number: int = 1, data: bytes = b"", **body: Any) -> "TestResponse":
    """Send a photo as a phone does."""
    said = {"id": uuid(number), "site_id": SITE, "taken_at": f"{DAY}T14:05:00-07:00"} | body
    file = FileStorage(io.BytesIO(data or colour(number)), "../../x.html", "file")
    bounds, form = encode_multipart({"body": json.dumps(said), "file": file})
    kind = f"multipart/form-data; boundary={bounds}"
    return who.post("/photos", data=form, headers=OWN, content_type=kind)


def colour(number: int) -> bytes:
    """A photo like no other."""
    return shot(size=(64, 40 + number), exif=exif(6))


def address(answer: "TestResponse") -> str:
    """Where a photo is shown."""
    return str((answer.json or {})["photo"])


def shown(who: "FlaskClient", path: str) -> int:
    """How an address is answered."""
    return who.get(path).status_code


def test_a_photo_is_kept_once_and_shown_without_its_metadata(client: Client) -> None:
    hands = client("technician")
    first = post(hands, caption="  the lid\n by the fence ")
    assert (first.status_code, (first.json or {})["status"]) == (200, "kept")
    again = post(hands)
    assert (again.status_code, (again.json or {})["status"]) == (200, "kept before")
    other = post(hands, data=colour(2))
    assert other.status_code == 409
    assert "one of its own" in (other.json or {})["complaints"][0]
    picture = hands.get(address(first))
    assert picture.status_code == 200
    assert PLANTED not in picture.data
    assert opened(picture.data).size == (64, 41)
    assert ((first.json or {})["width_px"], (first.json or {})["height_px"]) == (41, 64)


def test_a_picture_is_served_as_what_it_is_to_nobody_else(client: Client) -> None:
    hands = client("technician")
    path = address(post(hands))
    answer = hands.get(path)
    assert answer.content_type == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cache-Control"] == "private, no-cache"
    assert (
        answer.headers["Content-Security-Policy"]
        == "default-src 'none'; frame-ancestors 'none'; sandbox"
    )
    assert re.fullmatch(
        r'inline; filename="photo-\d{4}-\d\d-\d\d-[0-9a-f]{8}\.jpg"',
        answer.headers["Content-Disposition"],
    )
    seen = hands.get(path, headers={"If-None-Match": answer.headers["ETag"]})
    assert (seen.status_code, seen.data) == (304, b"")
    assert client("").get(path).status_code == 302
    for wrong in ("/photos/x", "/photos/" + "0" * 64, path + "0"):
        assert hands.get(wrong).status_code == 404


@pytest.mark.parametrize("role", TABLE)
def test_who_sees_a_photo_that_is_of_no_finding(visitor: Client, role: str) -> None:
    path = address(post(visitor("technician"), 3))
    seen = role in {"dispatcher", "technician", "administrator"}
    assert shown(visitor(role), path) == (200 if seen else 404)
    if role not in {"others", "clerk"}:
        assert (path in visitor(role).get(f"/sites/{SITE}").text) == seen


def test_a_photo_of_a_finding_comes_before_its_visit_and_is_joined_to_it(visitor: Client) -> None:
    hands = visitor("technician")
    path = address(post(hands, 4, visit_id=VISIT, finding_id=FINDING, caption="wet over lateral 2"))
    assert [shown(visitor(role), path) for role in ("technician", "county")] == [200, 404]
    found = {"id": FINDING, "kind": "sewage on the ground", "note": "ten feet wide"}
    record = whole(form_of(hands, SITE), id=VISIT, findings=[found])
    assert sent(hands, record)[0]["status"] == "kept"
    for role in ROLES:
        assert shown(visitor(role), path) == 200
        for page in (f"/sites/{SITE}", f"/visits/{VISIT}/report"):
            text = visitor(role).get(page).text
            assert path in text
            assert 'alt="wet over lateral 2"' in text
    assert [shown(visitor(role), path) for role in ("others", "clerk")] == [404, 404]


def test_a_correction_inherits_the_photos_of_its_findings_or_takes_them_back(
    visitor: Client,
) -> None:
    hands, seen_at = visitor("technician"), f"/sites/{OTHER}"
    first, second, third = (f"aaaaaaaa-0000-4000-8000-0000000000{n}" for n in (11, 12, 13))
    old, new = (f"bbbbbbbb-0000-4000-8000-0000000000{n}" for n in (11, 12))
    path = address(post(hands, 20, site_id=OTHER, visit_id=first, finding_id=old))
    record = whole(
        form_of(hands, OTHER), id=first, findings=[{"id": old, "kind": "open or broken lid"}]
    )
    assert sent(hands, record)[0]["status"] == "kept"
    assert path in visitor("county").get(seen_at).text
    kept = record | {"id": second, "supersedes": first}
    kept["findings"] = [{"id": new, "kind": "open or broken lid", "note": "the second lid"}]
    assert sent(hands, kept)[0]["status"] == "kept"
    assert path in visitor("county").get(f"/visits/{second}/report").text
    assert path not in visitor("county").get(f"/visits/{first}/report").text
    gone = record | {"id": third, "supersedes": second, "findings": []}
    assert sent(hands, gone)[0]["status"] == "kept"
    assert path not in visitor("county").get(seen_at).text
    assert shown(visitor("county"), path) == 404
    assert path in hands.get(f"/visits/{third}/report").text


def test_a_technician_of_the_firm_sees_photos_on_the_gate_sheet(client: Client) -> None:
    path = address(post(client("dispatcher"), 5))
    text = client("technician").get(f"/gate/{SITE}/{DAY}").text
    assert path in text
    assert re.search(r'alt="Photo of the site, [^"]+2026"', text)


def test_nobody_records_at_anothers_site_nor_without_the_right(visitor: Client) -> None:
    assert post(visitor("technician"), 6, site_id=THEIRS).status_code == 404
    assert post(visitor("others"), 6).status_code == 404
    assert post(visitor("county"), 6).status_code == 403
    assert post(visitor(""), 6).status_code == 401
    assert post(visitor("dispatcher"), 6, technician_id=999_999).status_code == 404
    for number in ("x", "-1", "9" * 30, ""):
        assert post(visitor("technician"), 6, site_id=number).status_code == 404


def test_a_technicians_photo_is_under_the_own_name(client: Client, parts: "Parts") -> None:
    asked: tuple[dict[str, Any], ...] = ({}, {"technician_id": 2})
    for number, told in zip((7, 13), asked, strict=True):
        post(client("technician"), number, **told)
    with parts.store.reading() as session:
        own, other = (photos.photo_with_id(session, uuid(number)) for number in (7, 13))
    assert own is not None
    assert other is not None
    assert own.technician_id == other.technician_id != 2
    assert other.recorded_by == "technician"


@pytest.mark.parametrize(
    ("data", "status", "said"),
    [
        (b"<html>", 422, "no photo"),
        (b"%PDF-1.7", 422, "no photo"),
        (shot()[:200], 422, "not whole"),
        (shot() + bytes(MOST_BYTES), 422, "up to 3 MB"),
        (shot() + bytes(MOST_BYTES + 2**17), 422, "up to 3 MB"),
    ],
)
def test_what_is_no_photo_is_refused_with_words(
    client: Client, data: bytes, status: int, said: str
) -> None:
    answer = post(client("technician"), 8, data=data)
    assert answer.status_code == status
    assert said in (answer.json or {})["complaints"][0]


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"taken_at": "noon"}, "taken_at"),
        ({"id": "1"}, "UUID"),
        ({"visit_id": "1"}, "UUID"),
        ({"caption": "x" * 201}, "longer than 200"),
        ({"component_id": "x"}, "component_id"),
        ({"device_offset_s": "slow"}, "device_offset_s"),
    ],
)
def test_what_is_said_of_a_photo_is_read_strictly(
    client: Client, body: dict[str, Any], said: str
) -> None:
    answer = post(client("technician"), 9, **body)
    assert answer.status_code == 422
    assert said in " ".join((answer.json or {})["complaints"])


@pytest.mark.parametrize("fields", [{"body": "{}"}, {"body": "[]", "file": 1}, {"body": "x"}, {}])
def test_a_request_that_is_not_complete_is_refused_with_words(
    client: Client, fields: dict[str, Any]
) -> None:
    form = fields | ({"file": (io.BytesIO(shot()), "x")} if "file" in fields else {})
    answer = client("technician").post("/photos", data=form, headers=OWN)
    assert answer.status_code == 422
    assert (answer.json or {})["complaints"]


def test_a_photo_is_not_taken_from_another_sites_page(client: Client) -> None:
    answer = client("technician").post(
        "/photos", data={"body": "{}"}, headers={"Sec-Fetch-Site": "cross-site"}
    )
    assert answer.status_code == 403


def test_a_plain_form_keeps_a_photo_and_twice_is_once(client: Client, parts: "Parts") -> None:
    office = client("dispatcher")
    page = office.get(f"/gate/{QUIET}/{DAY}/record").text
    assert re.search(r'<form[^>]*action="/photos"[^>]*enctype="multipart/form-data"', page)
    for said in ("The photo is kept.", "This photo was kept before."):
        form = {
            "site_id": str(QUIET),
            "visit_id": VISIT[:-1] + "9",
            "finding_id": "",
            "caption": "panel, door open",
            "file": (io.BytesIO(shot(exif=exif(offset="-07:00"))), "IMG.JPG"),
        }
        answer = office.post("/photos", data=form, headers=OWN | {"Accept": "text/html"})
        assert answer.status_code == 302
        assert said in office.get(answer.headers["Location"]).text
    with parts.store.reading() as session:
        (kept,) = photos.photos_of_site(session, QUIET)
    assert kept.taken_at.isoformat() == "2026-06-15T21:05:00+00:00"
    wrong = {"site_id": str(QUIET), "file": (io.BytesIO(b"x"), "x.jpg")}
    refused = office.post("/photos", data=wrong, headers=OWN | {"Accept": "text/html"})
    assert refused.status_code == 422
    assert "no photo" in refused.text


def test_a_photo_taken_back_is_shown_to_nobody_and_stays_in_the_store(
    client: Client, parts: "Parts"
) -> None:
    office, hands = client("dispatcher"), client("technician")
    path = address(post(office, 10, caption="a face"))
    back = f"/photos/{uuid(10)}/take-back"
    assert hands.post(back, data={"why": "not mine"}, headers=OWN).status_code == 404
    assert client("county").post(back, data={"why": "x"}, headers=OWN).status_code == 403
    assert office.post(back, data={"why": " "}, headers=OWN).status_code == 422
    for _ in range(2):
        assert office.post(back, data={"why": "a face"}, headers=OWN).status_code == 302
    for role in ("dispatcher", "technician", "administrator"):
        assert shown(client(role), path) == 404
        assert path not in client(role).get(f"/sites/{SITE}").text
    with parts.store.reading() as session:
        kept = session.scalars(select(PhotoRow.id).where(PhotoRow.id == uuid(10))).all()
    assert kept == [uuid(10)]
    assert (post(office, 10).json or {})["status"] == "kept before"


def test_the_same_picture_at_two_sites_is_shown_by_the_rights_of_either(visitor: Client) -> None:
    data = colour(11)
    path = address(post(visitor("technician"), 11, data=data))
    assert shown(visitor("others"), path) == 404
    assert address(post(visitor("others"), 12, data=data, site_id=THEIRS)) == path
    assert shown(visitor("others"), path) == 200
    assert shown(visitor("clerk"), path) == 404


def test_a_picture_that_was_damaged_in_the_store_says_so(client: Client, parts: "Parts") -> None:
    hands = client("technician")
    path = address(post(hands, 41, data=colour(41)))
    file = parts.store.engine.url.database or ""
    with closing(sqlite3.connect(file)) as past_the_store, past_the_store:
        past_the_store.execute("DROP TRIGGER photo_content_is_append_only")
        past_the_store.execute(
            "UPDATE photo_content SET body = x'0000' WHERE digest = ?", (path.rsplit("/", 1)[1],)
        )
    answer = hands.get(path)
    assert answer.status_code == 503
    assert "Bring it back from a backup" in answer.text
