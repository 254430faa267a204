"""Headers, writes from elsewhere, guessing, and input that makes no sense."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from registry.services.make_demo import county_today
from registry.services.users import TRIES
from tests.pages.conftest import OWN

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

DAY = county_today().isoformat()


def test_every_answer_forbids_inline_scripts_framing_and_guessing_of_types(
    client: "Callable[[str], FlaskClient]",
) -> None:
    headers = client("dispatcher").get(f"/day/{DAY}").headers
    policy = headers["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] == "no-store"


def test_the_cookie_is_out_of_reach_of_scripts_and_of_other_sites(
    app: "Flask", client: "Callable[[str], FlaskClient]"
) -> None:
    client("")
    answer = app.test_client().get("/sign-in")
    cookie = answer.headers.get("Set-Cookie", "")
    assert not cookie or ("HttpOnly" in cookie and "SameSite=Lax" in cookie)


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "https://elsewhere.invalid"},
    ],
)
@pytest.mark.parametrize("path", [f"/day/{DAY}/hold", f"/day/{DAY}/order", "/sign-in", "/sign-out"])
def test_a_write_from_elsewhere_is_refused(
    client: "Callable[[str], FlaskClient]", path: str, headers: dict[str, str]
) -> None:
    answer = client("dispatcher").post(path, data={"site_id": "1"}, headers=headers)
    assert answer.status_code == 403


def test_a_hold_is_kept_and_released(client: "Callable[[str], FlaskClient]") -> None:
    office = client("dispatcher")
    held = office.post(f"/day/{DAY}/hold", data={"site_id": "1"}, headers=OWN)
    assert held.status_code == 302
    assert "Held." in office.get(f"/day/{DAY}").text
    assert office.post(f"/day/{DAY}/release", data={"site_id": "1"}, headers=OWN).status_code == 302


@pytest.mark.parametrize("role", ["county", "technician"])
def test_only_the_office_orders_and_holds(
    client: "Callable[[str], FlaskClient]", role: str
) -> None:
    for path in (f"/day/{DAY}/hold", f"/day/{DAY}/order"):
        assert client(role).post(path, data={"site_id": "1"}, headers=OWN).status_code == 403


@pytest.mark.parametrize(
    "path",
    [
        "/day/2026-13-45",
        "/day/yesterday",
        "/gate/1/never",
        "/county/?late=soon",
        "/county/?kind=spaceship",
        "/county/?zone=wet",
        "/county/?place=x",
        "/county/?due=2026-06-09",
        "/county/?due=x&system=1",
        f"/files/day/{DAY}.exe",
        "/files/overdue.exe",
        "/files/sites.exe",
    ],
)
def test_what_makes_no_sense_gets_a_clear_page(
    client: "Callable[[str], FlaskClient]", path: str
) -> None:
    answer = client("administrator").get(path)
    assert answer.status_code in {404, 422}
    assert "Traceback" not in answer.text
    assert "<h1>" in answer.text


@pytest.mark.parametrize("form", [{}, {"site_id": "x"}, {"site_id": "1", "technician_id": "x"}])
def test_a_form_that_says_nothing_usable_is_refused_with_words(
    client: "Callable[[str], FlaskClient]", form: dict[str, str]
) -> None:
    answer = client("dispatcher").post(f"/day/{DAY}/hold", data=form, headers=OWN)
    assert answer.status_code == 422
    assert "Choose" in answer.text


def test_a_wrong_name_and_a_wrong_password_read_the_same_and_are_slowed_down(
    app: "Flask",
) -> None:
    """Last in this file: afterwards the address of the tests must wait."""
    texts = set()
    for name in ("dispatcher", "nobody-of-this-name"):
        form = {"username": name, "password": "not the password"}
        answer = app.test_client().post("/sign-in", data=form, headers=OWN)
        assert answer.status_code == 200
        texts.add("The name or the password is not right." in answer.text)
    assert texts == {True}
    statuses = [
        app.test_client().post("/sign-in", data=form, headers=OWN).status_code
        for _ in range(TRIES + 1)
    ]
    assert statuses[-1] == 429
