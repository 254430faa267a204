"""Signing in: nobody learns which names there are, guessing is slowed down."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import pytest
from flask.testing import FlaskClient
from flask_security import core, forms, utils
from sqlalchemy import update

from registry.records.changes import Role, Viewer
from registry.services.users import (
    TRIES,
    add_user,
    block_user,
    hash_password,
    note_success,
    take_try,
)
from registry.store import Store
from registry.store.tables import UserRow
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
    assert "The name, the password or the code is not right." in known[1]


@pytest.mark.parametrize("kind", ["unknown", "known", "blocked", "by a phone only"])
def test_every_name_gets_the_same_answer_after_the_same_work(
    app: "Flask", parts: "Parts", monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    """One argon2id hash of the same cost is worked out, whoever there is."""
    with parts.store.session() as session:
        if kind != "unknown":
            add_user(session, Viewer(name=kind, role=Role.COUNTY), WRONG + " either", parts.now())
        if kind == "blocked":
            block_user(session, kind, "a test", parts.now())
        if kind == "by a phone only":
            session.execute(update(UserRow).where(UserRow.name == kind).values(password_hash=""))
    worked = []

    def spied(real: Callable[..., Any]) -> Callable[..., Any]:
        def spy(*given: Any) -> Any:
            worked.append(real)
            return real(*given)

        return spy

    for module, name in ((forms, "hash_password"), (core, "verify_and_update_password")):
        monkeypatch.setattr(module, name, spied(getattr(module, name)))
    answer = sign_in(app.test_client(), kind, WRONG)
    assert answer.status_code == 200
    assert "The name, the password or the code is not right." in answer.text
    assert len(worked) == 1
    with app.app_context():
        made = (utils.hash_password(WRONG), hash_password(WRONG))
    kind_version_cost = {tuple(one.split("$")[1:4]) for one in made}
    assert kind_version_cost == {("argon2id", "v=19", "m=65536,t=3,p=4")}


def test_a_blocked_sign_in_reads_like_a_wrong_password_even_with_the_right_one(
    app: "Flask", parts: "Parts"
) -> None:
    right = "the right password"
    with parts.store.session() as session:
        add_user(session, Viewer(name="gone", role=Role.COUNTY), right, parts.now())
        block_user(session, "gone", "a test", parts.now())
    text = sign_in(app.test_client(), "gone", right).text
    assert text[text.index("<main") : text.index("<form")] == said(app.test_client(), "nobody")[1]


@pytest.mark.parametrize("word", ["a\0b", "x" * 5000, "é" * 300, "'; drop table site; --"])
@pytest.mark.parametrize("field", ["username", "password", "code"])
def test_whatever_is_typed_is_answered_calmly(app: "Flask", field: str, word: str) -> None:
    form = {"username": "county", "password": WRONG, field: word}
    answer = app.test_client().post("/sign-in", data=form, headers=OWN)
    assert answer.status_code in {200, 400}
    assert "fault" not in answer.text


def test_a_session_is_never_remembered_beyond_the_browser(app: "Flask", own_demo: "Demo") -> None:
    form = {"username": "county", "password": own_demo.password("county"), "remember": "y"}
    answer = app.test_client().post("/sign-in", data=form, headers=OWN)
    cookies = answer.headers.getlist("Set-Cookie")
    assert answer.status_code == 302
    assert len(cookies) == 1
    assert "Expires" not in cookies[0]
    assert "Max-Age" not in cookies[0]


def test_who_is_signed_in_cannot_clear_somebody_elses_failures(
    app: "Flask", client: Client
) -> None:
    statuses = []
    for _ in range(TRIES + 1):
        statuses.append(sign_in(app.test_client(), "dispatcher", WRONG).status_code)
        if statuses[-1] == 200:
            assert sign_in(client("county"), "dispatcher", WRONG).status_code == 302
    assert statuses[-1] == 429


def test_tries_that_arrive_together_in_two_processes_are_counted_one_by_one(
    store: Store, now: datetime
) -> None:
    """Two threads with connections of their own stand for two processes."""

    def guess(_: int) -> bool:
        with store.session() as session:
            return take_try(session, ["name:somebody", "address:elsewhere"], now)

    with ThreadPoolExecutor(2) as pool:
        taken = list(pool.map(guess, range(2 * TRIES)))
    assert sum(taken) == TRIES


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


def test_signing_out_ends_the_session(app: "Flask", own_demo: "Demo") -> None:
    one = app.test_client()
    sign_in(one, "county", own_demo.password("county"))
    assert one.get("/due/").status_code == 200
    assert one.post("/sign-out", headers=OWN).status_code == 302
    assert one.get("/due/").status_code == 302


def test_no_page_makes_changes_or_mends_a_sign_in(client: Client) -> None:
    for path in ("/register", "/reset", "/change", "/verify", "/confirm"):
        assert client("administrator").get(path).status_code == 404
