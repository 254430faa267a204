"""A day that runs on its page: notes, ordering again, older plans, why and what if; who may."""

import re
from typing import TYPE_CHECKING

import pytest

from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from registry.records.day import Day
    from registry.wiring import Parts


def send(who: "FlaskClient", act: str, **fields: object) -> "TestResponse":
    return who.post(f"/day/{DAY}/{act}", data=fields, headers=OWN)


def in_force(parts: "Parts") -> "Day":
    from datetime import date

    from registry.store import days

    with parts.store.reading() as session:
        found = days.day_of(session, 1, date.fromisoformat(DAY))
    assert found is not None
    return found


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Search shortly: what is tested here is not how good a plan is."""
    monkeypatch.setattr("registry.services.run_day.SEARCH_S", 0.05)
    monkeypatch.setattr("registry.services.what_if.SEARCH_S", 0.05)


def test_a_locked_gate_is_noted_ordered_around_shown_and_kept_in_the_history(
    client: Client, parts: "Parts"
) -> None:
    office = client("dispatcher")
    before = in_force(parts)
    route = before.routes[0]
    stop = route.visits[1]
    assert "By the plan; nothing is noted yet." in office.get(f"/day/{DAY}").text
    at = f"{stop.arrives:%H:%M}"
    answer = send(office, "note", kind="not reached", stop=stop.site_id, at=at, text="Chain.")
    assert answer.status_code == 302
    assert f"{at} {stop.site} not reached. Chain." in office.get(f"/day/{DAY}").text
    answer = send(office, "reorder", at=at, price="10", version=before.number)
    assert answer.status_code == 302, answer.text
    now = in_force(parts)
    assert now.number == before.number + 1
    waits = {one.site: one for one in now.waiting}
    assert waits[stop.site].why == f"Not reached at {at}. Chain."
    page = office.get(f"/day/{DAY}").text
    assert "What this plan changed" in page
    assert "To be told:" in page
    assert f"Plan {before.number}</a>: ordered" in page
    old = office.get(f"/day/{DAY}/version/{before.number}").text
    assert "This plan is not in force" in old
    assert stop.site in old
    first = in_force(parts).routes[0].stops[0]
    assert first == route.stops[0]


def test_the_second_dispatcher_is_refused_with_what_changed_meanwhile(
    client: Client, parts: "Parts"
) -> None:
    office, other = client("dispatcher"), client("administrator")
    seen = in_force(parts).number
    who = in_force(parts).routes[-1]
    send(office, "note", kind="gone home", technician_id=who.technician_id, at="12:00")
    assert send(office, "reorder", at="12:00", price="10", version=seen).status_code == 302
    answer = send(other, "reorder", at="12:05", price="10", version=seen)
    assert answer.status_code == 409
    assert "Somebody was quicker" in answer.text
    assert "re-ordered meanwhile by dispatcher" in answer.text
    assert "Moved: " in answer.text
    assert in_force(parts).number == seen + 1


def test_a_note_is_taken_back(client: Client) -> None:
    office = client("dispatcher")
    send(office, "note", kind="late", technician_id=1, minutes="25", at="08:00")
    page = office.get(f"/day/{DAY}").text
    assert "is 25 min late" in page
    number = re.findall(r'name="note" value="(\d+)"', page)[-1]
    assert send(office, "take-back", note=number).status_code == 302
    assert "is 25 min late" not in office.get(f"/day/{DAY}").text
    assert send(office, "take-back", note=number).status_code == 404


def test_an_alarm_call_holds_the_visit_in_the_promised_hours(
    client: Client, parts: "Parts"
) -> None:
    from datetime import date

    from registry.store import days

    office = client("dispatcher")
    site = in_force(parts).waiting[0]
    fields = {"at": "13:00", "from": "14:00", "to": "16:00", "text": "Alarm light on."}
    answer = send(office, "note", kind="alarm call", site=site.site, **fields)
    assert answer.status_code == 302
    with parts.store.reading() as session:
        holds = {one.site_id: one for one in days.holds_on(session, 1, date.fromisoformat(DAY))}
    assert (holds[site.site_id].from_min, holds[site.site_id].to_min) == (840, 960)
    assert f"alarm call from {site.site}, promised 14:00–16:00" in office.get(f"/day/{DAY}").text


@pytest.mark.parametrize(
    ("act", "fields", "said"),
    [
        ("note", {}, "Choose what happened. When it happened is a time such as 10:40."),
        ("note", {"kind": "done", "at": "10:40"}, "Say at which site."),
        ("note", {"kind": "late", "at": "10:40"}, "Say which technician."),
        ("note", {"kind": "late", "at": "10:40", "technician_id": 1}, "Say how many minutes late."),
        ("note", {"kind": "late", "at": "10:40", "minutes": "x"}, "Minutes late is a whole number"),
        ("note", {"kind": "done", "at": "25:00", "stop": 1}, "is a time such as 10:40"),
        ("note", {"kind": "done", "at": "10:00", "site": "?"}, "There is no site"),
        ("note", {"kind": "done", "at": "10:00", "stop": 99999}, "There is no such site"),
        ("reorder", {"at": "noon", "price": "10"}, "From when on is a time such as 10:40."),
        ("reorder", {"at": "10:00", "price": "a lot"}, "is a whole number of minutes"),
        ("take-back", {}, "Choose a note."),
    ],
)
def test_a_form_that_makes_no_sense_is_answered_in_words(
    client: Client, act: str, fields: dict[str, object], said: str
) -> None:
    answer = send(client("dispatcher"), act, **fields)
    assert answer.status_code in (404, 422)
    assert said in answer.text


def test_why_is_told_for_each_technician(client: Client, parts: "Parts") -> None:
    office, day = client("dispatcher"), in_force(parts)
    waits = next(one for one in day.waiting if one.why_word in ("no_room", "others_worth_more"))
    page = office.get(f"/day/{DAY}/why", query_string={"site": waits.site}).text
    assert "Why it waits" in page
    for route in day.routes:
        assert route.technician in page
    stop = day.routes[0].visits[-1]
    there = office.get(f"/day/{DAY}/why", query_string={"site": stop.site}).text
    assert "Why there" in there
    assert office.get(f"/day/{DAY}/why?site=nowhere").status_code == 404
    assert f"why?site={waits.site}" in office.get(f"/day/{DAY}").text


def test_what_if_answers_and_keeps_nothing(client: Client, parts: "Parts") -> None:
    office, day = client("dispatcher"), in_force(parts)
    name = day.routes[0].technician
    asked = {"longer": name, "more": "90"}
    page = office.get(f"/day/{DAY}/what-if", query_string=asked).text
    assert "What would be different" in page
    assert "Driving: " in page
    assert "What would be different" not in office.get(f"/day/{DAY}/what-if").text
    assert in_force(parts) == day
    closed = office.get(f"/day/{DAY}/what-if", query_string={"road": "Thane Road"})
    assert "What would be different" in closed.text
    assert office.get(f"/day/{DAY}/what-if?road=Nowhere Road").status_code == 404
    half = office.get(f"/day/{DAY}/what-if", query_string={"longer": name})
    assert half.status_code == 422
    assert "give both the technician and whole minutes" in half.text


@pytest.mark.parametrize("act", ["note", "take-back", "reorder"])
@pytest.mark.parametrize("role", ["technician", "county"])
def test_only_the_office_notes_and_orders_again(client: Client, role: str, act: str) -> None:
    assert send(client(role), act, kind="done", at="10:00", stop=1).status_code == 403
