"""Your sign-in: one-time codes, another password, sessions ended; the command line's part."""

import base64
import re
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from registry.cli.main import cli
from registry.records.changes import Role, Viewer
from registry.services import one_time_codes, users
from registry.services.one_time_codes import code_at, step_of
from tests.pages.visitors import OWN, sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from registry.wiring import Parts
    from tests.demo import Demo

PASSWORD = "a password for tests"  # noqa: S105


@pytest.fixture
def name(parts: "Parts", request: pytest.FixtureRequest) -> str:
    """A sign-in of its own for each test, with no failed try on record."""
    made = f"clerk of {request.node.name}"
    with parts.store.session() as session:
        users.add_user(session, Viewer(name=made, role=Role.ADMINISTRATOR), PASSWORD, parts.now())
        users.note_success(session, ["address:127.0.0.1"])
    return made


@pytest.fixture
def entered(app: "Flask", name: str) -> "Callable[[], FlaskClient]":
    """Return a browser in which the clerk has just signed in."""

    def enter() -> "FlaskClient":
        one = app.test_client()
        assert sign_in(one, name, PASSWORD).status_code == 302
        return one

    return enter


def turned_on(browser: "FlaskClient", parts: "Parts") -> tuple[str, list[str]]:
    """Turn codes on as the page does; return the key and the recovery codes."""
    page = browser.post("/own/codes", headers=OWN).text
    found = re.search(r'name="key" value="([A-Z2-7]{32})"', page)
    assert found is not None
    form = {"key": found[1], "password": PASSWORD, "code": code_of(found[1], parts)}
    page = browser.post("/own/codes/on", data=form, headers=OWN).text
    return found[1], re.findall(r"<li><code>([0-9A-Z-]{19})</code>", page)


def code_of(key: str, parts: "Parts", steps: int = 0) -> str:
    """Return the code that an app shows so many steps from now."""
    return code_at(base64.b32decode(key), step_of(parts.now()) + steps)


def enters(app: "Flask", name: str, code: str) -> bool:
    form = {"username": name, "password": PASSWORD, "code": code}
    answer = app.test_client().post("/sign-in", data=form, headers=OWN)
    assert answer.status_code in {200, 302}
    return answer.status_code == 302


def test_with_codes_on_a_password_alone_opens_nothing_and_no_code_opens_twice(
    app: "Flask", parts: "Parts", name: str, entered: "Callable[[], FlaskClient]"
) -> None:
    browser = entered()
    key, recovery = turned_on(browser, parts)
    assert len(recovery) == len(set(recovery)) == one_time_codes.RECOVERY_CODES
    assert browser.get("/own/").status_code == 200  # still signed in here
    assert not enters(app, name, "")
    assert not enters(app, name, code_of(key, parts, -1))  # older than the one that turned it on
    assert not enters(app, name, "000000" if code_of(key, parts, 1) != "000000" else "111111")
    newest = code_of(key, parts, 1)
    assert enters(app, name, f"{newest[:3]} {newest[3:]}")
    assert not enters(app, name, newest)
    assert enters(app, name, recovery[3].lower().replace("-", " "))
    assert not enters(app, name, recovery[3])
    assert "Recovery codes left: 9" in browser.get("/own/").text


def test_who_has_no_password_learns_nothing_from_the_code(
    app: "Flask", parts: "Parts", name: str, entered: "Callable[[], FlaskClient]"
) -> None:
    """A right password with a wrong code, a wrong one with a right code, an unknown name."""
    key, _ = turned_on(entered(), parts)
    told = set()
    for said in (
        {"username": name, "password": PASSWORD, "code": "12"},
        {"username": name, "password": "not the password", "code": code_of(key, parts, 1)},
        {"username": "nobody at all", "password": "not the password", "code": "123456"},
    ):
        answer = app.test_client().post("/sign-in", data=said, headers=OWN)
        text = answer.text
        told.add((answer.status_code, text[text.index("<main") : text.index("<form")]))
    assert len(told) == 1
    assert enters(app, name, code_of(key, parts, 1))  # the wrong password did not use it up


def test_codes_are_turned_on_only_by_a_code_and_the_password(
    parts: "Parts", entered: "Callable[[], FlaskClient]"
) -> None:
    browser = entered()
    key = one_time_codes.new_key()
    right = {"key": key, "password": PASSWORD, "code": code_of(key, parts)}
    for wrong, status in (
        ({"password": "not the password"}, 403),
        ({"code": code_of(key, parts, 40)}, 422),
        ({"code": ""}, 422),
        ({"key": "A2A2"}, 422),
        ({"key": "not base 32"}, 422),
    ):
        answer = browser.post("/own/codes/on", data=right | wrong, headers=OWN)
        assert answer.status_code == status, wrong
    assert "<p>Off. " in browser.get("/own/").text


def test_codes_are_turned_off_by_the_password_or_on_the_command_line(
    app: "Flask", parts: "Parts", name: str, entered: "Callable[[], FlaskClient]", own_demo: "Demo"
) -> None:
    browser = entered()
    turned_on(browser, parts)
    assert browser.post("/own/codes/off", data={}, headers=OWN).status_code == 403
    form = {"password": PASSWORD}
    assert browser.post("/own/codes/off", data=form, headers=OWN).status_code == 302
    assert enters(app, name, "")
    turned_on(browser, parts)
    done = CliRunner().invoke(cli, ["user", "codes-off", name, "--store", own_demo.store_url])
    assert done.exit_code == 0, done.output
    assert browser.get("/own/").status_code == 302  # its sessions ended
    assert enters(app, name, "")


def test_another_password_ends_every_other_session(
    app: "Flask", name: str, entered: "Callable[[], FlaskClient]"
) -> None:
    here, elsewhere = entered(), entered()
    new = "Crémaillère and other words"  # letters that can be spelt in two ways
    form = {"password": PASSWORD, "new": new, "again": new}
    for wrong in ({"again": "x"}, {"new": "x", "again": "x"}):
        answer = here.post("/own/password", data=form | wrong, headers=OWN)
        assert answer.status_code == 422
    assert here.post("/own/password", data=form, headers=OWN).status_code == 302
    assert here.get("/own/").status_code == 200
    assert elsewhere.get("/own/").status_code == 302
    assert sign_in(app.test_client(), name, PASSWORD).status_code == 200
    assert sign_in(app.test_client(), name, new).status_code == 302


def test_all_other_sessions_end_when_asked(entered: "Callable[[], FlaskClient]") -> None:
    here, elsewhere = entered(), entered()
    assert here.post("/own/end", headers=OWN).status_code == 302
    assert here.get("/own/").status_code == 200
    assert elsewhere.get("/own/").status_code == 302


def test_guessing_the_present_password_is_slowed_down_too(
    parts: "Parts", name: str, entered: "Callable[[], FlaskClient]"
) -> None:
    browser = entered()
    form = {"password": "not the password"}
    statuses = [
        browser.post("/own/codes/off", data=form, headers=OWN).status_code
        for _ in range(users.TRIES + 1)
    ]
    assert statuses == [403] * users.TRIES + [429]
    subjects, later = [f"name:{name.lower()}"], users.WAIT + timedelta(seconds=1)
    with parts.store.reading() as session:
        assert users.must_wait(session, subjects, parts.now())
        assert not users.must_wait(session, subjects, parts.now() + later)


def test_the_command_line_gives_another_password(
    app: "Flask", name: str, entered: "Callable[[], FlaskClient]", own_demo: "Demo"
) -> None:
    browser = entered()
    asked = ["user", "password", name, "--store", own_demo.store_url]
    assert CliRunner().invoke(cli, asked, input="short\n").exit_code != 0
    done = CliRunner().invoke(cli, asked, input="another password for tests\n")
    assert done.exit_code == 0, done.output
    assert browser.get("/own/").status_code == 302
    assert sign_in(app.test_client(), name, "another password for tests").status_code == 302
