"""Signing in: nobody learns which names there are, guessing is slowed down."""

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import pytest
from flask.testing import FlaskClient

from registry.services.users import TRIES, note_success
from tests.pages.visitors import OWN, Client, sign_in

if TYPE_CHECKING:
    from flask import Flask

    from registry.wiring import Parts
    from tests.demo import Demo

WRONG = "not the password"
ADDRESS = "127.0.0.1"


@pytest.fixture(autouse=True)
def patience(parts: "Parts") -> None:
    """Let every test begin with no failed try on record."""
    with parts.store.session() as session:
        subjects = [f"name:{name}" for name in ("dispatcher", "nobody", "county", "")]
        note_success(session, [*subjects, f"address:{ADDRESS}"])


def said(client: FlaskClient, name: str) -> tuple[int, str]:
    """Status and complaint of a try with a wrong password."""
    answer = sign_in(client, name, WRONG)
    text = answer.text
    return answer.status_code, text[text.index("<main") : text.index("<form")]


def test_a_wrong_name_and_a_wrong_password_read_the_same(app: "Flask") -> None:
    known, unknown = said(app.test_client(), "dispatcher"), said(app.test_client(), "nobody")
    assert known == unknown
    assert known[0] == 200
    assert "The name or the password is not right." in known[1]


def test_after_ten_failures_a_name_must_wait_even_with_the_right_password(
    app: "Flask", own_demo: "Demo"
) -> None:
    for _ in range(TRIES):
        assert said(app.test_client(), "dispatcher")[0] == 200
    answer = sign_in(app.test_client(), "dispatcher", own_demo.password("dispatcher"))
    assert answer.status_code == 429
    assert "Wait a quarter of an hour" in answer.text


def test_an_unknown_name_must_wait_like_a_known_one(app: "Flask") -> None:
    statuses = [sign_in(app.test_client(), "nobody", WRONG).status_code for _ in range(TRIES + 1)]
    assert statuses == [200] * TRIES + [429]


def test_many_names_from_one_address_must_wait_too(app: "Flask") -> None:
    for number in range(TRIES):
        sign_in(app.test_client(), f"guess-{number}", WRONG)
    assert sign_in(app.test_client(), "guess-again", WRONG).status_code == 429


def test_a_success_forgets_the_failures_of_the_name(app: "Flask", own_demo: "Demo") -> None:
    for _ in range(TRIES - 2):
        said(app.test_client(), "county")
    assert sign_in(app.test_client(), "county", own_demo.password("county")).status_code == 302
    assert said(app.test_client(), "county")[0] == 200


def test_tries_cannot_slip_past_the_count_as_json(app: "Flask") -> None:
    answer = app.test_client().post(
        "/sign-in", json={"username": "dispatcher", "password": WRONG}, headers=OWN
    )
    assert answer.status_code == 415


@pytest.mark.parametrize("aim", ["//elsewhere.invalid/", "https://elsewhere.invalid/", "/due/"])
def test_signing_in_never_leads_to_another_host(app: "Flask", own_demo: "Demo", aim: str) -> None:
    answer = sign_in(
        app.test_client(), "county", own_demo.password("county"), f"/sign-in?next={aim}"
    )
    if answer.status_code == 302:
        assert urlsplit(answer.headers["Location"]).netloc in {"", "localhost"}
        assert (answer.headers["Location"] == "/due/") == (aim == "/due/")
    else:
        assert "elsewhere" in aim


def test_the_cookie_is_out_of_reach_of_scripts_and_of_other_sites(
    app: "Flask", own_demo: "Demo"
) -> None:
    answer = sign_in(app.test_client(), "county", own_demo.password("county"))
    cookie = next(one for one in answer.headers.getlist("Set-Cookie") if "riserway=" in one)
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie


def test_signing_out_ends_the_session(app: "Flask", own_demo: "Demo") -> None:
    one = app.test_client()
    sign_in(one, "county", own_demo.password("county"))
    assert one.get("/due/").status_code == 200
    assert one.post("/sign-out", headers=OWN).status_code == 302
    assert one.get("/due/").status_code == 302


def test_no_page_makes_changes_or_mends_a_sign_in(client: Client) -> None:
    for path in ("/register", "/reset", "/change", "/verify", "/confirm"):
        assert client("administrator").get(path).status_code == 404
