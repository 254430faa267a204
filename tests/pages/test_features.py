"""OGC API – Features through the test client: who gets in, rights by role, errors, coordinates."""

from base64 import b64encode
from collections.abc import Callable, Iterator
from datetime import date
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlsplit

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import html
from sqlalchemy import func, select, update

from registry.privacy import HIDDEN
from registry.records.changes import Role
from registry.records.features import COLLECTIONS
from registry.records.geodesy import transform
from registry.records.places import Site
from registry.records.visits import VisitRecord
from registry.services.tokens import list_tokens, make_token, revoke_token
from registry.services.users import TRIES, note_success
from registry.store import visits
from registry.store.tables import SiteRow, SystemRow
from tests.pages.visitors import OWN, Client

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.test import TestResponse

    from registry.wiring import Parts

PLANTED = "planted-7731"
READERS = ("dispatcher", "county", "administrator")
LON_LAT = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
LAT_LON = "http://www.opengis.net/def/crs/EPSG/0/4326"
MERCATOR = "http://www.opengis.net/def/crs/EPSG/0/3857"
SYSTEMS = "/ogc/collections/systems/items"
QUERYABLES = "http://www.opengis.net/def/rel/ogc/1.0/queryables"
PIECES = (
    *("site", "kind", "bedrooms", "installed_on", "active", "AND", "OR", "NOT", "=", "<>", "<"),
    *("(", ")", "IS", "NULL", "LIKE", "IN", ",", "'a%'", "''", "1e308", "-0.5", "TRUE"),
    *("DATE('9999-12-31')", "'\\'", "'[*?'", "'ß😀'"),
)
"""Words and signs of filters, right and wrong."""

type Get = Callable[..., TestResponse]


@pytest.fixture(scope="module")
def secrets(parts: "Parts") -> dict[str, str]:
    """A token of each role that gets one; private words are planted before anybody reads."""
    words = [
        name for name in sorted(HIDDEN[Site][Role.COUNTY]) if name.startswith(("owner", "gate"))
    ]
    words += ["access_note", "private_note", "note"]
    with parts.store.session() as session:
        session.execute(update(SiteRow).values(dict.fromkeys(words, PLANTED)))
        noted = VisitRecord(
            id="0-noted", site_id=1, on_date=date(2026, 6, 1), recorded_at=parts.now(), note=PLANTED
        )
        visits.add_visits(session, [noted])
        return {name: make_token(session, name, "a test", parts.now())[1] for name in READERS}


def basic(name: str, secret: str) -> dict[str, str]:
    return {"Authorization": "Basic " + b64encode(f"{name}:{secret}".encode()).decode()}


@pytest.fixture
def get(app: "Flask", secrets: dict[str, str]) -> Get:
    """Get an address as a role does whose GIS sends its token."""

    def got(path: str, role: str = "county") -> "TestResponse":
        return app.test_client().get(path, headers=basic(role, secrets[role]))

    return got


@pytest.fixture(autouse=True)
def patience(parts: "Parts") -> Iterator[None]:
    """Forget failed tries after each test."""
    yield
    with parts.store.session() as session:
        note_success(session, ["token address:127.0.0.1", "token:county"])


def is_problem(answer: "TestResponse", status: int, says: str = "") -> bool:
    body: Any = answer.get_json(force=True)
    return (
        answer.status_code == body["status"] == status
        and answer.content_type == "application/problem+json"
        and says in body["detail"]
    )


def test_a_gis_is_asked_for_a_name_and_a_token(app: "Flask", secrets: dict[str, str]) -> None:
    one = app.test_client()
    for headers in ({}, basic("county", ""), basic("county", "x"), {"Authorization": "Bearer x"},
                    basic("dispatcher", secrets["county"])):  # fmt: skip
        answer = one.get("/ogc/", headers=headers)
        assert is_problem(answer, 401)
        assert answer.headers["WWW-Authenticate"].startswith("Basic realm=")
    for headers in (basic("county", secrets["county"]),
                    {"Authorization": f"Bearer {secrets['county']}"}):  # fmt: skip
        assert one.get("/ogc/", headers=headers).status_code == 200


def test_a_token_opens_features_and_nothing_else(
    app: "Flask", get: Get, secrets: dict[str, str]
) -> None:
    headers = basic("dispatcher", secrets["dispatcher"])
    for path in ("/due/", "/sites/1", "/files/sites.csv", "/county/"):
        answer = app.test_client().get(path, headers=headers)
        assert answer.status_code == 302
        assert answer.headers["Location"].startswith("/sign-in")
    assert app.test_client().post(SYSTEMS, headers=headers | OWN).status_code == 405


def test_who_is_signed_in_reads_without_a_token_and_a_technician_does_not(client: Client) -> None:
    for role in READERS:
        assert client(role).get("/ogc/").status_code == 200
    for path in ("/ogc/", "/ogc/api", "/ogc/conformance", "/ogc/collections", SYSTEMS):
        assert is_problem(client("technician").get(path), 403, "read features")


def test_guesses_are_slowed_down_by_name_and_address(
    parts: "Parts", app: "Flask", get: Get, secrets: dict[str, str]
) -> None:
    one = app.test_client()
    for _ in range(TRIES):
        assert is_problem(one.get("/ogc/", headers=basic("county", "a guess")), 401)
    answer = get("/ogc/")
    assert is_problem(answer, 429, "quarter of an hour")
    assert answer.headers["Retry-After"] == "900"
    with parts.store.session() as session:
        note_success(session, ["token address:127.0.0.1"])
    assert is_problem(get("/ogc/"), 429)  # the name still waits, and no other
    assert get("/ogc/", "dispatcher").status_code == 200


def test_the_last_use_is_noted_and_a_revoked_token_is_out_at_once(
    parts: "Parts", app: "Flask"
) -> None:
    with parts.store.session() as session:
        made, secret = make_token(session, "county", "lost", parts.now())
    one = app.test_client()
    assert one.get("/ogc/", headers=basic("county", secret)).status_code == 200
    with parts.store.session() as session:
        (used,) = [one for one in list_tokens(session, "county") if one.id == made.id]
        assert used.last_used_at is not None
        revoke_token(session, made.id, parts.now())
    assert is_problem(one.get("/ogc/", headers=basic("county", secret)), 401)


@pytest.mark.parametrize("one", COLLECTIONS, ids=lambda one: one.id)
def test_no_private_word_reaches_the_countys_gis(get: Get, one: Any) -> None:
    at = f"/ogc/collections/{one.id}"
    page = get(f"{at}/items?limit=1000")
    feature = page.get_json(force=True)["features"][0]
    for path in ("/ogc/api", at, f"{at}/items?limit=1000&f=html", f"{at}/items/{feature['id']}"):
        answer = get(path)
        assert answer.status_code == 200
        assert PLANTED not in answer.text
    assert PLANTED not in page.text


def test_the_word_is_where_the_firm_sees_it(get: Get) -> None:
    """Else the test above could not fail."""
    assert PLANTED in get(SYSTEMS, "dispatcher").text
    assert PLANTED in get("/ogc/collections/visits/items", "dispatcher").text


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("owner_name=planted-7731", "“owner_name”"),
        ("gate_code=1", "“gate_code”"),
        ("nothing=1", "“nothing”"),
        ("offset=5", "“offset”"),
        ("limit=0", "1 to 1,000"),
        ("limit=-1", "1 to 1,000"),
        ("limit=many", "1 to 1,000"),
        ("bbox=1,2,3", "lower corner"),
        ("bbox=1,5,3,4", "lower corner"),
        ("bbox=a,b,c,d", "lower corner"),
        ("bbox=nan,1,2,3", "lower corner"),
        ("bbox=1e999,1,2,3", "lower corner"),
        ("bbox=1,2,3,4&bbox-crs=EPSG:4326", "Known: http"),
        ("crs=nowhere", "Known: http"),
        ("datetime=yesterday", "2026-06-15"),
        ("datetime=2026-02-30", "2026-06-15"),
        ("datetime=2026-06-02/2026-06-01", "begins after"),
        ("datetime=1/2/3", "2026-06-15"),
        ("bedrooms=three", "number for bedrooms"),
        ("bedrooms=inf", "number for bedrooms"),
        ("active=perhaps", "boolean for active"),
        ("installed_on=soon", "date for installed_on"),
        ("after=x", "Start at the first"),
        ("site=%00", "no text can have"),
        ("f=xml", "json or html"),
    ],
)
def test_what_an_address_asks_wrongly_is_400_and_said(get: Get, asked: str, says: str) -> None:
    assert is_problem(get(f"{SYSTEMS}?{asked}"), 400, says)


def test_every_document_refuses_parameters_that_it_does_not_know(get: Get) -> None:
    for path in ("/ogc/", "/ogc/api", "/ogc/conformance", "/ogc/collections",
                 "/ogc/collections/systems", f"{SYSTEMS}/1"):  # fmt: skip
        assert is_problem(get(f"{path}?limit=1"), 400, "“limit”")


def test_what_is_not_there_is_404(get: Get) -> None:
    for path in ("/ogc/nothing", "/ogc/collections/nothing", "/ogc/collections/nothing/items",
                 f"{SYSTEMS}/0", f"{SYSTEMS}/x", f"{SYSTEMS}/1/2", f"{SYSTEMS}/%00",
                 f"{SYSTEMS}/{'9' * 40}"):  # fmt: skip
        assert is_problem(get(path), 404)


def test_next_links_lead_through_every_feature_once_and_keep_what_was_asked(
    parts: "Parts", get: Get
) -> None:
    with parts.store.reading() as session:
        mounds = select(func.count()).where(SystemRow.kind == "mound")
        n_mounds = session.scalar(mounds)
    path, ids = f"{SYSTEMS}?kind=mound&limit=10&crs={MERCATOR}", []
    while path:
        answer = get(path)
        page: Any = answer.get_json(force=True)
        assert answer.headers["Content-Crs"] == f"<{MERCATOR}>"
        assert page["numberReturned"] == len(page["features"]) <= 10
        ids += [one["id"] for one in page["features"]]
        onward = [one["href"] for one in page["links"] if one["rel"] == "next"]
        path = "?".join(urlsplit(onward[0])[2:4]) if onward else ""
    assert len(ids) == len(set(ids)) == n_mounds
    assert n_mounds
    assert ids == sorted(ids)


def test_places_and_boxes_are_told_in_the_reference_system_that_is_asked(get: Get) -> None:
    """Axis order: OGC 18-058, and EPSG:4326's own, latitude first; metres by PROJ."""
    plain: Any = get(f"{SYSTEMS}?limit=1000").get_json(force=True)["features"]
    placed = next(one for one in plain if one["geometry"])
    lon, lat = placed["geometry"]["coordinates"]

    def at(system: str) -> list[float]:
        answer: Any = get(f"{SYSTEMS}/{placed['id']}?crs={system}").get_json(force=True)
        return [float(one) for one in answer["geometry"]["coordinates"]]

    (east,), (north,) = transform(lon, lat, "EPSG:4326", "EPSG:3857")
    assert at(LON_LAT) == [lon, lat]
    assert at(LAT_LON) == [lat, lon]
    assert at(MERCATOR) == pytest.approx([east, north], abs=1e-3)
    wide = 0.02
    boxes = [
        f"bbox={lon - wide},{lat - wide},{lon + wide},{lat + wide}",
        f"bbox={lon - wide},{lat - wide},-9,{lon + wide},{lat + wide},9",
        f"bbox={lat - wide},{lon - wide},{lat + wide},{lon + wide}&bbox-crs={LAT_LON}",
    ]
    found = [
        {one["id"] for one in get(f"{SYSTEMS}?limit=1000&{box}").get_json(force=True)["features"]}
        for box in boxes
    ]
    assert found[0] == found[1] == found[2]
    assert placed["id"] in found[0]
    assert len(found[0]) < len(plain)
    metres = f"bbox={east - 2000},{north - 2000},{east + 2000},{north + 2000}&bbox-crs={MERCATOR}"
    near: Any = get(f"{SYSTEMS}?limit=1000&{metres}").get_json(force=True)["features"]
    assert placed["id"] in {one["id"] for one in near}
    assert len(near) < len(plain)


def test_queryables_are_the_columns_that_the_role_may_ask_about(get: Get) -> None:
    for role in READERS:
        listed: Any = get("/ogc/collections", role).get_json(force=True)["collections"]
        for one in listed:
            (at,) = (
                urlsplit(link["href"]).path for link in one["links"] if link["rel"] == QUERYABLES
            )
            answer = get(at, role)
            assert answer.mimetype == "application/schema+json"
            told: Any = answer.get_json(force=True)
            assert ("owner_name" in told["properties"]) == (
                one["id"] == "systems" and role != "county"
            )
            asked = " OR ".join(f"{name} IS NULL" for name in told["properties"])
            path = at.replace("/queryables", "/items")
            assert get(f"{path}?limit=1&filter={asked}", role).status_code == 200


def test_a_filter_narrows_pages_and_their_next_links(get: Get) -> None:
    every: Any = get(f"{SYSTEMS}?limit=1000").get_json(force=True)["features"]
    kinds = sorted({one["properties"]["kind"] for one in every})
    said = f"kind IN ('{kinds[0]}','{kinds[1]}') AND NOT kind = '{kinds[1]}'"
    page: Any = get(f"{SYSTEMS}?limit=2&filter-lang=cql2-text&filter={said}").get_json(force=True)
    (further,) = [one["href"] for one in page["links"] if one["rel"] == "next"]
    parts = urlsplit(further)
    rest: Any = get(f"{parts.path}?{parts.query}".replace("limit=2", "limit=1000"))
    found = page["features"] + rest.get_json(force=True)["features"]
    assert [one["id"] for one in found] == [
        one["id"] for one in every if one["properties"]["kind"] == kinds[0]
    ]


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("filter=owner_name = 'x'", "no column “owner_name”"),
        ("filter=kind = ", "a value is wanted"),
        ("filter=kind = 'x'&filter-lang=cql2-json", "filter-lang is cql2-text"),
        ("filter=kind = 'x'&filter-crs=nowhere", "not served in"),
        ("filter=S_INTERSECTS(geometry,POINT(0 0))", "S_INTERSECTS(…) are not answered"),
    ],
)
def test_a_filter_that_cannot_be_answered_is_400_and_said(get: Get, asked: str, says: str) -> None:
    assert is_problem(get(f"{SYSTEMS}?{asked}"), 400, says)


@given(st.lists(st.sampled_from(PIECES), max_size=9).map(" ".join))
@settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_a_filter_says_the_answer_is_a_page_or_a_sentence(get: Get, said: str) -> None:
    answer = get(f"{SYSTEMS}?limit=1&filter={quote(said)}")
    assert answer.status_code == 200 or is_problem(answer, 400)


def test_the_api_definition_names_the_roles_collections_and_columns(get: Get) -> None:
    for role in READERS:
        told: Any = get("/ogc/api", role).get_json(force=True)
        assert told["openapi"] == "3.0.3"
        listed: Any = get("/ogc/collections", role).get_json(force=True)["collections"]
        for one in listed:
            path = f"/collections/{one['id']}/items"
            shown = told["components"]["schemas"][one["id"]]["properties"]["properties"]
            feature: Any = get(f"/ogc{path}?limit=1", role).get_json(force=True)["features"][0]
            assert list(shown["properties"]) == list(feature["properties"])
            asked = [p["name"] for p in told["paths"][path]["get"]["parameters"] if "name" in p]
            assert set(asked) <= set(feature["properties"])
            assert ("owner_name" in asked) == (one["id"] == "systems" and role != "county")


def test_a_browser_gets_pages_and_a_program_gets_json(client: Client) -> None:
    wanted = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
    for path in ("/ogc/", "/ogc/api", "/ogc/conformance", "/ogc/collections", SYSTEMS,
                 f"{SYSTEMS}/1", f"{SYSTEMS}?kind=nowhere"):  # fmt: skip
        answer = client("county").get(path, headers=wanted)
        assert answer.mimetype == "text/html"
        assert html.fromstring(answer.text).xpath("count(//h1)") == 1
        assert client("county").get(path, headers={"Accept": "*/*"}).is_json
        assert client("county").get(f"{path}{'&' if '?' in path else '?'}f=json",
                                    headers=wanted).is_json  # fmt: skip
