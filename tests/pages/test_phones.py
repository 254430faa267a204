"""Pairing a technician's phone, its session, and signing a lost one out."""

import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select, update

from registry.services.pair_phone import CODE_LIFE, hashed
from registry.services.phones import SESSION_LIFE
from registry.services.users import TRIES, note_success
from registry.store.tables import PairingRow, PhoneRow, UserRow
from tests.pages.visitors import DAY, OWN, Client, sign_in
from web.phone_door import COOKIE

if TYPE_CHECKING:
    from flask import Flask

    from registry.wiring import Parts
    from tests.demo import Demo

WIPE = ("Riserway-Wipe", "yes")


@pytest.fixture(autouse=True)
def patience(parts: "Parts") -> None:
    """Let every test begin with no failed try on record."""
    with parts.store.session() as session:
        note_success(session, ["pairing:127.0.0.1", "address:127.0.0.1"])


def technicians(client: Client) -> dict[str, str]:
    """Name → id, as the page offers them."""
    text = client("dispatcher").get("/phones/").text
    return {name: key for key, name in re.findall(r'<option value="(\d+)">([^<]+)<', text)}


def offered(client: Client, who: str, phone: str = "") -> str:
    """A new code for a technician."""
    form = {"technician_id": technicians(client)[who], "name": phone}
    answer = client("dispatcher").post("/phones/pair", data=form, headers=OWN)
    assert answer.status_code == 200
    found = re.search(r'class="pairing-code">([^<]+)<', answer.text)
    assert found is not None
    return found[1]


def used(phone: FlaskClient, code: str) -> int:
    return phone.post("/pair/", data={"code": code}, headers=OWN).status_code


def paired(app: "Flask", client: Client, who: str, name: str = "") -> FlaskClient:
    """A phone that is paired with a technician."""
    phone = app.test_client()
    assert used(phone, offered(client, who, name)) == 303
    return phone


def number_of(parts: "Parts", phone: FlaskClient) -> int:
    cookie = phone.get_cookie(COOKIE)
    assert cookie is not None
    with parts.store.reading() as session:
        found = session.scalar(
            select(PhoneRow.id).where(PhoneRow.secret_hash == hashed(cookie.value))
        )
    assert found is not None
    return found


def signed_out(client: Client, parts: "Parts", phone: FlaskClient) -> None:
    path = f"/phones/{number_of(parts, phone)}/sign-out"
    assert client("dispatcher").post(path, headers=OWN).status_code == 302


def test_a_phone_is_paired_after_it_was_told_for_whom_it_is(app: "Flask", client: Client) -> None:
    who = sorted(technicians(client))[1]
    code, phone = offered(client, who), app.test_client()
    asked = phone.post("/pair/confirm", data={"code": code.lower()}, headers=OWN)
    assert f"This phone is for {who}" in asked.text
    assert phone.get(f"/day/{DAY}").status_code == 302  # asking alone signs nobody in
    assert used(phone, code) == 303
    shown = phone.get(f"/day/{DAY}")
    assert shown.status_code == 200
    assert f"{who}, technician" in shown.text
    assert phone.get("/due/").status_code == phone.get("/phones/").status_code == 403


def test_the_cookie_of_a_phone_is_out_of_reach_and_lasts_thirty_days(
    app: "Flask", client: Client
) -> None:
    code = offered(client, min(technicians(client)))
    answer = app.test_client().post("/pair/", data={"code": code}, headers=OWN)
    (cookie,) = [one for one in answer.headers.getlist("Set-Cookie") if COOKIE in one]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert f"Max-Age={30 * 86400}" in cookie


def test_a_code_pairs_one_phone_only(app: "Flask", client: Client) -> None:
    code = offered(client, min(technicians(client)))
    assert used(app.test_client(), code) == 303
    assert used(app.test_client(), code) == 422


def test_a_new_code_for_a_technician_ends_the_one_before(app: "Flask", client: Client) -> None:
    who = min(technicians(client))
    first, second = offered(client, who), offered(client, who)
    assert used(app.test_client(), first) == 422
    assert used(app.test_client(), second) == 303


def test_a_code_is_too_old_after_ten_minutes(app: "Flask", client: Client, parts: "Parts") -> None:
    code = offered(client, min(technicians(client)))
    with parts.store.session() as session:
        session.execute(
            update(PairingRow).values(made_at=parts.now() - CODE_LIFE - timedelta(seconds=1))
        )
    assert timedelta(minutes=10) == CODE_LIFE
    assert used(app.test_client(), code) == 422


def test_used_old_and_invented_codes_read_the_same(app: "Flask", client: Client) -> None:
    code = offered(client, min(technicians(client)))
    used(app.test_client(), code)
    said = {
        app.test_client()
        .post(path, data={"code": one}, headers=OWN)
        .text.partition("<main")[2]
        .partition("</main>")[0]
        for path in ("/pair/confirm", "/pair/")
        for one in (code, "0000-0000-0000-0000", "", "x" * 5000)
    }
    assert len(said) == 1


def test_who_guesses_codes_must_wait(app: "Flask", client: Client) -> None:
    code, guesser = offered(client, min(technicians(client))), app.test_client()
    assert [used(guesser, f"guess {n}") for n in range(TRIES + 1)] == [422] * TRIES + [429]
    assert used(guesser, code) == 429


def test_no_code_and_no_secret_is_kept_or_logged(
    app: "Flask", client: Client, parts: "Parts", caplog: pytest.LogCaptureFixture, own_demo: "Demo"
) -> None:
    code = offered(client, min(technicians(client)))
    pressed = code.replace("-", "")
    kept = b"".join(file.read_bytes() for file in own_demo.folder.glob("county.sqlite*"))
    assert pressed.encode() not in kept
    assert code.encode() not in kept
    phone = app.test_client()
    assert used(phone, code) == 303
    cookie = phone.get_cookie(COOKIE)
    assert cookie is not None
    kept = b"".join(file.read_bytes() for file in own_demo.folder.glob("county.sqlite*"))
    assert cookie.value.encode() not in kept
    assert code not in caplog.text
    assert cookie.value not in caplog.text


def test_the_code_stands_behind_the_hash_of_the_address(client: Client) -> None:
    """What follows the # of an address is never sent (RFC 3986, section 3.5)."""
    form = {"technician_id": min(technicians(client).values())}
    text = client("dispatcher").post("/phones/pair", data=form, headers=OWN).text
    assert 'class="qr"' in text
    assert not re.search(r"/pair/[0-9A-Z]", text)


@pytest.mark.parametrize("role", ["technician", "county", ""])
def test_only_the_office_pairs_lists_and_signs_out(client: Client, role: str) -> None:
    refused = 403 if role else 302
    assert client(role).get("/phones/").status_code == refused
    form = {"technician_id": "1"}
    assert client(role).post("/phones/pair", data=form, headers=OWN).status_code == refused
    assert client(role).post("/phones/1/sign-out", headers=OWN).status_code == refused


@pytest.mark.parametrize("path", ["/phones/pair", "/phones/1/sign-out", "/phones/wiped", "/pair/",
                                  "/pair/confirm", "/sign-ins/end"])  # fmt: skip
def test_a_write_from_elsewhere_is_refused(client: Client, path: str) -> None:
    assert client("administrator").post(path).status_code == 403


@pytest.mark.parametrize("form", [{}, {"technician_id": "x"}, {"technician_id": "99999"}])
def test_a_technician_who_is_not_there_is_refused_with_words(
    client: Client, form: dict[str, str]
) -> None:
    answer = client("dispatcher").post("/phones/pair", data=form, headers=OWN)
    assert answer.status_code in {404, 422}
    assert "Choose a technician" in answer.text


def test_a_signed_out_phone_is_out_at_once_and_told_to_wipe_until_it_has(
    app: "Flask", client: Client, parts: "Parts"
) -> None:
    who = min(technicians(client))
    phone = paired(app, client, who, "lost on purpose")
    assert WIPE not in phone.get(f"/day/{DAY}").headers.items()
    signed_out(client, parts, phone)
    assert "Not wiped yet" in client("dispatcher").get("/phones/").text
    for path in (f"/day/{DAY}", f"/gate/1/{DAY}", "/", "/sign-in", "/nothing"):
        answer = phone.get(path)
        assert answer.status_code == 401
        assert WIPE in answer.headers.items()
        assert answer.headers["Clear-Site-Data"] == '"storage"'
    refused = phone.post("/records", json={"records": []}, headers=OWN)
    assert (refused.status_code, refused.headers["Riserway-Wipe"]) == (401, "yes")
    said = phone.post("/phones/wiped", headers=OWN)
    assert (said.status_code, said.headers["Riserway-Wipe"]) == (204, "yes")
    assert phone.get_cookie(COOKIE) is None
    assert phone.get(f"/day/{DAY}").status_code == 302
    text = client("dispatcher").get("/phones/").text
    row = text[text.index("lost on purpose") :].partition("</tr>")[0]
    assert "<strong>Wiped</strong>" in row


def test_a_password_does_not_open_a_phone_that_is_signed_out(
    app: "Flask", client: Client, parts: "Parts", own_demo: "Demo"
) -> None:
    phone = paired(app, client, min(technicians(client)))
    signed_out(client, parts, phone)
    assert sign_in(phone, "dispatcher", own_demo.password("dispatcher")).status_code == 401
    assert phone.get("/due/").status_code == 401


def test_saying_wiped_changes_nothing_for_anybody_else(
    app: "Flask", client: Client, parts: "Parts"
) -> None:
    phone = paired(app, client, min(technicians(client)))
    assert phone.post("/phones/wiped", headers=OWN).status_code == 204
    assert app.test_client().post("/phones/wiped", headers=OWN).status_code == 204
    assert phone.get(f"/day/{DAY}").status_code == 200
    with parts.store.reading() as session:
        row = session.get_one(PhoneRow, number_of(parts, phone))
        assert row.wiped_at is None


def test_who_signs_out_on_the_phone_ends_its_pairing(
    app: "Flask", client: Client, parts: "Parts"
) -> None:
    phone = paired(app, client, min(technicians(client)))
    answer = phone.post("/sign-out", headers=OWN)
    assert WIPE in answer.headers.items()
    assert phone.get(f"/day/{DAY}").status_code == 401
    form = phone.post("/phones/wiped", headers={**OWN, "Accept": "text/html"})
    assert (form.status_code, form.headers["Location"]) == (303, "/sign-in")
    assert phone.get("/sign-in").status_code == 200


def test_a_phone_that_stayed_away_for_thirty_days_is_paired_again_and_stays_the_same_phone(
    app: "Flask", client: Client, parts: "Parts"
) -> None:
    who = min(technicians(client))
    phone = paired(app, client, who)
    number = number_of(parts, phone)
    with parts.store.session() as session:
        session.execute(
            update(PhoneRow)
            .where(PhoneRow.id == number)
            .values(last_seen_at=parts.now() - SESSION_LIFE - timedelta(minutes=1))
        )
    assert "To be paired again" in client("dispatcher").get("/phones/").text
    asked = phone.get(f"/day/{DAY}")
    assert asked.status_code == 302
    assert WIPE not in asked.headers.items()  # records that wait are not lost by it


def test_pairing_the_same_phone_again_keeps_its_records_and_ends_its_old_secret(
    app: "Flask", client: Client, parts: "Parts"
) -> None:
    who = min(technicians(client))
    phone = paired(app, client, who)
    number, before = number_of(parts, phone), phone.get_cookie(COOKIE)
    answer = phone.post("/pair/", data={"code": offered(client, who)}, headers=OWN)
    assert WIPE not in answer.headers.items()
    assert number_of(parts, phone) == number
    thief = app.test_client()
    assert before is not None
    thief.set_cookie(COOKIE, before.value)
    assert thief.get(f"/day/{DAY}").status_code == 302


def test_a_phone_that_is_handed_on_is_wiped_first(
    app: "Flask", client: Client, parts: "Parts"
) -> None:
    first, second = sorted(technicians(client))[:2]
    phone = paired(app, client, first)
    number, code = number_of(parts, phone), offered(client, second)
    warned = phone.post("/pair/confirm", data={"code": code}, headers=OWN).text
    assert f"Until now this phone is {first}’s" in warned
    answer = phone.post("/pair/", data={"code": code}, headers=OWN)
    assert WIPE in answer.headers.items()
    assert phone.get(f"/day/{DAY}").status_code == 200
    with parts.store.reading() as session:
        assert session.get_one(PhoneRow, number).wiped_at is not None


def test_a_phone_that_was_seen_gets_another_thirty_days(
    app: "Flask", client: Client, parts: "Parts"
) -> None:
    phone = paired(app, client, min(technicians(client)))
    assert COOKIE not in str(phone.get(f"/day/{DAY}").headers.getlist("Set-Cookie"))
    long_ago = parts.now() - timedelta(days=20)
    with parts.store.session() as session:
        session.execute(update(PhoneRow).values(last_seen_at=long_ago))
    assert COOKIE in str(phone.get(f"/day/{DAY}").headers.getlist("Set-Cookie"))
    with parts.store.reading() as session:
        seen = session.get_one(PhoneRow, number_of(parts, phone)).last_seen_at
    assert seen > long_ago + timedelta(days=19)


def test_a_sign_in_that_a_pairing_made_has_no_password_at_all(
    app: "Flask", client: Client, parts: "Parts"
) -> None:
    who = max(technicians(client))
    paired(app, client, who)
    with parts.store.reading() as session:
        made = session.scalar(select(UserRow).where(UserRow.name == who))
        assert made is not None
        assert made.password_hash == ""
    said = [
        re.sub("nonce=.*?>|value=.*?>", "", sign_in(app.test_client(), name, "").text)
        for name in (who, "nobody at all")
    ]
    said += [
        re.sub("nonce=.*?>|value=.*?>", "", sign_in(app.test_client(), name, "long enough").text)
        for name in (who, "nobody at all")
    ]
    assert said[0] == said[1]
    assert said[2] == said[3]


def test_ending_all_sessions_of_a_sign_in_reaches_computers_and_phones(
    app: "Flask", client: Client, parts: "Parts", own_demo: "Demo"
) -> None:
    with parts.store.reading() as session:
        row = session.scalar(select(UserRow).where(UserRow.name == "technician"))
        assert row is not None
        number = row.technician_id
    who = next(name for name, key in technicians(client).items() if int(key) == number)
    phone, computer = paired(app, client, who), app.test_client()
    sign_in(computer, "technician", own_demo.password("technician"))
    assert computer.get(f"/day/{DAY}").status_code == phone.get(f"/day/{DAY}").status_code == 200
    for role in ("dispatcher", "technician", "county"):
        refused = client(role).post("/sign-ins/end", data={"name": "technician"}, headers=OWN)
        assert refused.status_code == 403
    done = client("administrator").post("/sign-ins/end", data={"name": "technician"}, headers=OWN)
    assert done.status_code == 302
    assert computer.get(f"/day/{DAY}").status_code == 302
    assert phone.get(f"/day/{DAY}").status_code == 401
    sign_in(computer, "technician", own_demo.password("technician"))
    assert computer.get(f"/day/{DAY}").status_code == 200
    client.made.pop("technician", None)  # type: ignore[attr-defined]  # signed out with the rest


def test_nobody_ends_the_sessions_of_a_sign_in_that_is_not_there(client: Client) -> None:
    done = client("administrator").post("/sign-ins/end", data={"name": "nobody"}, headers=OWN)
    assert done.status_code == 404
