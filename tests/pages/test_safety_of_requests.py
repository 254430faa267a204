"""What pages hold, what their own forms may do, and input that makes no sense."""

import re
from typing import TYPE_CHECKING

import pytest

from tests.pages.visitors import DAY, OWN, Client
from web.static_files import file_names

if TYPE_CHECKING:
    from flask import Flask

SHOWN = ["/county/", "/due/", f"/day/{DAY}", "/sites/1", f"/gate/1/{DAY}", "/nothing"]


def test_the_nonce_is_new_with_every_answer(client: Client) -> None:
    policies = {
        client("dispatcher").get("/due/").headers["Content-Security-Policy"] for _ in range(3)
    }
    assert len(policies) == 3


@pytest.mark.parametrize("path", SHOWN)
def test_a_page_holds_no_inline_script_or_style_and_nothing_from_another_host(
    client: Client, path: str
) -> None:
    text = client("administrator").get(path).text
    assert not re.findall(r"<script(?![^>]*\bsrc=)[^>]*>", text)
    assert not re.findall(r"\s(?:style|on[a-z]+)=\"", text)
    assert "<style" not in text
    assert not re.findall(r"(?:src|href|action)=\"(?:https?:)?//", text)


@pytest.mark.parametrize("file", file_names())
def test_no_file_of_the_pages_names_another_host(client: Client, file: str) -> None:
    answer = client("").get(f"/static/{file}", buffered=True)
    assert answer.status_code == 200
    hosts = re.findall(r"https?://[\w.]+", answer.text)
    assert set(hosts) <= {"http://www.w3.org"}  # the name of SVG, which nothing asks for


@pytest.mark.parametrize("headers", [OWN, {"Origin": "http://localhost"}])
def test_a_hold_is_kept_and_released(client: Client, headers: dict[str, str]) -> None:
    office = client("dispatcher")
    form = {"site_id": "1", "technician_id": ""}
    assert office.post(f"/day/{DAY}/hold", data=form, headers=headers).status_code == 302
    shown = office.get(f"/day/{DAY}").text
    assert "Held." in shown
    assert "Held for the next ordering" in shown
    assert f'action="/day/{DAY}/release"' in shown
    assert office.post(f"/day/{DAY}/release", data=form, headers=headers).status_code == 302
    assert f'action="/day/{DAY}/release"' not in office.get(f"/day/{DAY}").text


def test_a_visit_is_held_by_the_number_of_its_site_for_a_technician(client: Client) -> None:
    office, day = client("dispatcher"), "/day/2026-06-15"
    known = re.search(r'<option value="(\d+)">Cosmo Kettlebury', office.get(day).text)
    assert known is not None
    form = {"site": " W-1003 ", "technician_id": known[1]}
    assert office.post(f"{day}/hold", data=form, headers=OWN).status_code == 302
    assert re.search(r">W-1003</a>, Cosmo Kettlebury", office.get(day).text)
    unknown = office.post(f"{day}/hold", data={"site": "W-9"}, headers=OWN)
    assert unknown.status_code == 404
    assert "no site “W-9” in your firm" in unknown.text


@pytest.mark.parametrize("role", ["county", "technician"])
@pytest.mark.parametrize("act", ["hold", "release", "order"])
def test_only_the_office_orders_and_holds(client: Client, role: str, act: str) -> None:
    answer = client(role).post(f"/day/{DAY}/{act}", data={"site_id": "1"}, headers=OWN)
    assert answer.status_code == 403


NONSENSE = [
    "/day/2026-13-45", "/day/yesterday", "/day/0001-01-01", "/day/9999-12-31", "/day/?date=soon",
    "/gate/1/never", "/gate/1/0001-01-01",
    "/county/?late=soon", "/county/?late=-1", "/county/?kind=spaceship", "/county/?zone=wet",
    "/county/?place=x", "/county/?due=2026-06-09", "/county/?due=x&system=1",
    "/county/?due=2026-06-09&system=99999999999999999999",
    "/due/?within=soon", "/due/?within=-1", "/due/?within=99999", "/due/?due=2026-06-09",
    "/due/?due=x&obligation=1",
    f"/files/day/{DAY}.exe", f"/files/day/{DAY}.gpx?technician=77", "/files/day/2026-06-14.gpx",
    "/files/overdue.exe", "/files/sites.exe", "/files/sites.html", "/files/overdue.csv?late=x",
    "/tiles/systems/99/0/0.pbf", "/tiles/systems/3/8/0.pbf", "/tiles/systems/3/0/8.pbf",
    "/tiles/systems/8/28/91.pbf?kind=spaceship", "/library/0/maplibre-gl.js",
    "/library/0/nothing.js", "/tiles/systems/x/0/0.pbf", "/static/../app.py", "/sites/x",
]  # fmt: skip


@pytest.mark.parametrize("path", NONSENSE)
def test_what_makes_no_sense_gets_a_clear_page(client: Client, path: str) -> None:
    answer = client("administrator").get(path)
    assert answer.status_code in {404, 422}
    assert "Traceback" not in answer.text
    assert "<h1>" in answer.text


def test_all_that_is_wrong_with_a_filter_is_said_at_once(client: Client) -> None:
    text = client("county").get("/county/?late=soon&kind=spaceship&zone=wet&place=x").text
    for said in (
        "Days overdue is a whole number",
        "no system type",
        "Flood hazard",
        "jurisdiction",
    ):
        assert said in text


@pytest.mark.parametrize("form", [{}, {"site_id": "x"}, {"site_id": "1", "technician_id": "x"}])
def test_a_form_that_says_nothing_usable_is_refused_with_words(
    client: Client, form: dict[str, str]
) -> None:
    answer = client("dispatcher").post(f"/day/{DAY}/hold", data=form, headers=OWN)
    assert answer.status_code == 422
    assert "Choose" in answer.text


def test_a_form_without_end_is_refused(client: Client) -> None:
    form = {"site_id": "1", "note": "x" * (3 * 2**20)}
    answer = client("dispatcher").post(f"/day/{DAY}/hold", data=form, headers=OWN)
    assert answer.status_code == 413
    assert "Too large" in answer.text


@pytest.mark.parametrize("path", [f"/day/{DAY}/order", "/sign-out"])
def test_a_link_alone_changes_nothing(client: Client, path: str) -> None:
    assert client("dispatcher").get(path).status_code == 405


def test_words_from_an_address_stay_words(client: Client) -> None:
    text = client("county").get("/county/?kind=<script>alert(1)</script>").text
    assert "<script>alert" not in text
    assert "&lt;script&gt;" in text


def test_a_fault_of_ours_says_so_with_an_id_that_is_in_the_log(
    app: "Flask", client: Client, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_args: object) -> None:
        raise ZeroDivisionError("gate code 1234")

    monkeypatch.setattr("web.pages.due_list.see_due", broken)
    answer = client("dispatcher").get("/due/")
    assert answer.status_code == 500
    assert "1234" not in answer.text
    said = re.search(r"error id ([0-9a-f]{8})", answer.text)
    assert said is not None
    assert said[1] in caplog.text


def test_behind_https_cookies_are_secure_and_the_browser_is_told_to_stay(
    parts: object, app: "Flask"
) -> None:
    from registry.wiring import Parts
    from web.app import create_app

    assert isinstance(parts, Parts)
    secure = create_app(parts, secret="for tests only", proxies=("127.0.0.1",))  # noqa: S106
    told = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"}
    assert "Strict-Transport-Security" in secure.test_client().get("/sign-in", headers=told).headers
    assert secure.config["SESSION_COOKIE_SECURE"]
    stranger = secure.test_client().get(
        "/sign-in", headers=told, environ_base={"REMOTE_ADDR": "203.0.113.5"}
    )
    assert "Strict-Transport-Security" not in stranger.headers
    assert (
        "Strict-Transport-Security" not in app.test_client().get("/sign-in", headers=told).headers
    )


def test_promised_hours_are_told_beside_a_held_visit_and_nonsense_is_said(client: "Client") -> None:
    office = client("dispatcher")
    other = "2026-06-11"
    form = {"site": "W-1002", "from": "09:00", "to": "10:30"}
    assert office.post(f"/day/{other}/hold", data=form, headers=OWN).status_code == 302
    assert "promised 9:00–10:30" in office.get(f"/day/{other}").text
    wrong = office.post(f"/day/{other}/hold", data=form | {"from": "soon"}, headers=OWN)
    assert wrong.status_code == 422
    assert "“soon” is no time of day" in wrong.text
    turned = office.post(f"/day/{other}/hold", data=form | {"from": "11:00"}, headers=OWN)
    assert "end before they begin" in turned.text
