"""The recording page without a script, the address that takes records, and the report."""

import json
import re
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from registry.field.part_states import VALVE
from registry.services.make_demo import county_today
from registry.store import days, visits
from registry.store.obligations import obligations_of_sites
from registry.store.tables import ObligationRow, SiteRow, SystemRow, UserRow
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from registry.wiring import Parts

FIRST = "11111111-1111-4111-8111-111111111111"
THIRD = "44444444-4444-4444-8444-444444444444"
SECOND = "22222222-2222-4222-8222-222222222222"
FINDING = "33333333-3333-4333-8333-333333333333"


@pytest.fixture(scope="module")
def site_ids(parts: "Parts") -> list[int]:
    """Sites at which an inspection is due, gravity systems first."""
    with parts.store.reading() as session:
        rows = session.scalars(
            select(SiteRow.id)
            .join(SystemRow, SystemRow.site_id == SiteRow.id)
            .join(ObligationRow, ObligationRow.site_id == SiteRow.id)
            .where(
                ObligationRow.task == "inspection",
                ObligationRow.due_on <= county_today(),
            )
            .order_by(SystemRow.kind != "gravity", SiteRow.id)
        )
        return list(dict.fromkeys(rows))


def form_of(client: "FlaskClient", site_id: int) -> dict[str, Any]:
    """Return the form of a visit as data."""
    return dict(client.get(f"/gate/{site_id}/{DAY}/form.json").json or {})


def whole(form: dict[str, Any], **changed: Any) -> dict[str, Any]:
    """Return a record in which everything is done and as it should be."""
    readings = []
    for task in form["tasks"]:
        for ask in task["readings"]:
            kind = form["checks"]["kinds"][ask["kind"]]
            value = kind["choices"][0] if kind["choices"] else "2.25"
            if kind["counts_up"]:
                value = str(int(ask["last"] or 0) + 1)
            row = {key: ask[key] for key in ("kind", "system_id", "component_id")}
            readings.append(row | {"value": value, "answer": "read twice, it stands"})
    return {
        "id": FIRST,
        "kind": "visit",
        "site_id": form["site_id"],
        "on_date": DAY,
        "hazards_seen": True,
        "off_route": "sent by the office",
        "states": [
            {
                "what": one["what"],
                "component_id": one["component_id"],
                "as_found": one["in_order"] or "2",
                "as_left": one["in_order"] or "2",
            }
            for one in form["closing"]["states"]
        ],
        "outcomes": [
            {"system_id": one["system_id"], "task": one["task"], "outcome": "done"}
            for one in form["tasks"]
        ],
        "readings": readings,
        "answers": [{"item": one["item"], "said": "yes"} for one in form["closing"]["items"]],
    } | changed


def readings_of(record: dict[str, Any]) -> int:
    """Return how many readings a record leaves: the turns of a valve as left are one too."""
    return len(record["readings"]) + sum(one["what"] == VALVE for one in record["states"])


def sent(client: "FlaskClient", *records: dict[str, Any], **batch: Any) -> list[dict[str, Any]]:
    """Send records and return what was answered to each."""
    answer = client.post("/records", json={"records": records} | batch, headers=OWN)
    assert answer.status_code == 200, answer.text
    return list((answer.json or {})["records"])


def fields(record: dict[str, Any]) -> dict[str, str]:
    """Return a record as the fields of the form."""
    flat: dict[str, str] = {}
    for name, value in record.items():
        if isinstance(value, list):
            for number, row in enumerate(value):
                flat |= {f"{name}.{number}.{key}": str(one or "") for key, one in row.items()}
        else:
            flat[name] = "yes" if value is True else str(value or "")
    return flat


def test_a_record_is_kept_once_however_often_it_is_sent(
    client: Client, parts: "Parts", site_ids: list[int]
) -> None:
    hands, site_id = client("technician"), site_ids[0]
    record = whole(form_of(hands, site_id))
    assert [one["status"] for one in sent(hands, record)] == ["kept"]
    assert [one["status"] for one in sent(hands, record, record)] == ["kept before"] * 2
    other = sent(hands, record | {"note": "another"})[0]
    assert (other["status"], other["code"]) == ("refused", 409)
    with parts.store.reading() as session:
        kept = [one for one in visits.visits_of_site(session, site_id) if one.id == FIRST]
        assert len(kept) == 1
        due = {one.task: one for one in obligations_of_sites(session, [site_id])}
    assert due["inspection"].last_done == county_today()
    assert FIRST in hands.get(f"/sites/{site_id}").text


def test_each_record_of_a_batch_is_answered_by_itself(client: Client, site_ids: list[int]) -> None:
    hands, site_id = client("technician"), site_ids[1]
    form = form_of(hands, site_id)
    good = whole(form, id=SECOND)
    bad = whole(form, id="55555555-5555-4555-8555-555555555555", answers=[])
    here = {"kind": "arrival", "site_id": site_id, "on_date": DAY}
    answers = sent(hands, bad, here, {"nonsense": 1}, good)
    assert [one["status"] for one in answers] == ["refused", "kept", "refused", "kept"]
    assert any("not answered" in words for words in answers[0]["complaints"])
    assert answers[3]["report"] == f"/visits/{SECOND}/report"


@pytest.mark.parametrize("sent_json", ["", "[]", "{}", '{"records": 3}', "nonsense"])
def test_a_batch_that_is_none_is_refused_with_words(client: Client, sent_json: str) -> None:
    answer = client("technician").post(
        "/records", data=sent_json, content_type="application/json", headers=OWN
    )
    assert answer.status_code == 422
    assert "records" in (answer.json or {})["complaints"][0]


def test_who_is_not_signed_in_is_told_so_and_nothing_is_redirected(client: Client) -> None:
    answer = client("").post("/records", json={"records": []}, headers=OWN)
    assert answer.status_code == 401


def test_county_staff_record_nothing(client: Client, site_ids: list[int]) -> None:
    record = whole(form_of(client("dispatcher"), site_ids[2]), id=THIRD)
    assert sent(client("county"), record)[0]["code"] == 403
    assert client("county").get(f"/gate/{site_ids[2]}/{DAY}/record").status_code == 403


def test_a_task_that_the_form_named_is_answered(client: Client, site_ids: list[int]) -> None:
    hands = client("technician")
    record = whole(form_of(hands, site_ids[2]), id=THIRD)
    unsaid = [{key: one[key] for key in ("system_id", "task")} for one in record["outcomes"]]
    answer = sent(hands, record | {"outcomes": unsaid})[0]
    assert "System inspection: say how it went." in answer["complaints"]


def test_the_form_without_a_script_says_what_is_wrong_and_keeps_what_was_typed(
    client: Client, site_ids: list[int]
) -> None:
    office, site_id = client("dispatcher"), site_ids[3]
    path = f"/gate/{site_id}/{DAY}/record"
    page = office.get(path)
    assert page.status_code == 200
    number = re.search(r'name="(readings\.\d+)\.kind" value="scum"', page.text)
    assert number is not None
    record = whole(form_of(office, site_id), id="66666666-6666-4666-8666-666666666666")
    typed = fields(record)
    wrong = typed | {f"{number[1]}.value": "OK", "from_paper": "yes"}
    answer = office.post(path, data=wrong, headers=OWN)
    assert answer.status_code == 422
    assert "“OK” is no number" in answer.text
    assert 'value="OK"' in answer.text
    done = office.post(path, data=typed | {"from_paper": "yes"}, headers=OWN)
    assert done.status_code == 302, re.findall(r"<li>(.*?)</li>", done.text)
    report = office.get(done.headers["Location"])
    assert "Kept." in report.text
    assert "from paper" in report.text


def test_a_correction_shows_both_and_starts_from_what_was_sent(
    client: Client, site_ids: list[int]
) -> None:
    hands, site_id = client("technician"), site_ids[4]
    first, mended = (f"7777777{n}-7777-4777-8777-777777777777" for n in (1, 2))
    record = whole(form_of(hands, site_id), id=first)
    assert sent(hands, record)[0]["status"] == "kept"
    page = hands.get(f"/visits/{first}/correct").text
    assert "Correct a visit" in page
    assert page.count('value="2.25"') >= 2
    readings = [
        one | {"value": "3"} if one["kind"] == "scum" else one for one in record["readings"]
    ]
    done = sent(hands, record | {"id": mended, "supersedes": first, "readings": readings})[0]
    assert done["status"] == "kept", done
    old, new = (hands.get(f"/visits/{one}/report").text for one in (first, mended))
    assert "This record was corrected." in old
    assert f"/visits/{first}/report" in new
    assert "superseded" in hands.get(f"/sites/{site_id}").text


def test_the_report_tells_owner_and_county_nothing_that_is_private(
    client: Client, parts: "Parts", site_ids: list[int]
) -> None:
    hands, site_id = client("technician"), site_ids[5]
    visit_id = "88888888-8888-4888-8888-888888888888"
    found = {"id": FINDING, "kind": "sewage on the ground", "owner_told": "told-the-owner"}
    record = whole(form_of(hands, site_id), id=visit_id, note="secret-note", findings=[found])
    done = sent(hands, record)[0]
    tomorrow = county_today() + timedelta(days=1)
    assert [one["on"] for one in done["follow_ups"]] == [tomorrow.isoformat()]
    for role in ("county", "technician"):
        text = client(role).get(f"/visits/{visit_id}/report").text
        assert "Sewage on the ground" in text
        assert "secret-note" not in text
        assert "555-" not in text
    assert "told-the-owner" not in client("county").get(f"/visits/{visit_id}/report").text
    assert "Sewage on the ground".lower() in client("county").get(f"/sites/{site_id}").text
    with parts.store.reading() as session:
        held = days.holds_on(session, 1, tomorrow)
    assert [one.note for one in held if one.site_id == site_id] == [
        f"follow-up: sewage on the ground, found {DAY}"
    ]


def test_a_visit_that_is_not_there_is_not_found(client: Client) -> None:
    assert client("technician").get(f"/visits/{SECOND[:-1]}0/report").status_code == 404
    assert client("technician").get("/visits/x/correct").status_code == 404


def test_a_visit_from_a_file_has_a_report_and_can_be_corrected(
    client: Client, parts: "Parts", site_ids: list[int]
) -> None:
    with parts.store.reading() as session:
        old = visits.visits_of_site(session, site_ids[6])[-1]
    hands = client("technician")
    assert "What was done" in hands.get(f"/visits/{old.id}/report").text
    assert "Correct a visit" in hands.get(f"/visits/{old.id}/correct").text


def test_the_form_as_data_holds_every_rule(client: Client, site_ids: list[int]) -> None:
    form = form_of(client("technician"), site_ids[6])
    assert json.loads(json.dumps(form)) == form
    assert {"tasks", "checks", "closing", "findings", "on_file"} <= form.keys()
    assert all(one["steps"] for one in form["tasks"])


def test_a_technician_off_the_own_route_says_why_and_the_office_is_told(
    client: Client, parts: "Parts"
) -> None:
    hands, office = client("technician"), client("dispatcher")
    with parts.store.reading() as session:
        mine = session.scalar(select(UserRow.technician_id).where(UserRow.name == "technician"))
        day = days.day_of(session, 1, county_today())
    assert day is not None
    own = next(one for one in day.routes if one.technician_id == mine).visits[-1].site_id
    others = next(one for one in day.routes if one.technician_id != mine).visits[-1]
    assert form_of(hands, own)["off_route"] is False
    form = form_of(hands, others.site_id)
    assert form["off_route"] is True
    assert form_of(office, others.site_id)["off_route"] is False
    why_here = "Not on your route of this date"
    assert why_here in hands.get(f"/gate/{others.site_id}/{DAY}/record").text
    assert why_here not in hands.get(f"/gate/{own}/{DAY}/record").text
    record = whole(form, id="99999999-1111-4111-8111-111111111111")
    (refused,) = sent(hands, record | {"off_route": ""})
    assert "is not on your route that day. Say why you are there." in refused["complaints"][0]
    assert sent(hands, record)[0]["status"] == "kept"
    page = office.get(f"/day/{DAY}").text
    assert f"recorded at {others.site}. sent by the office" in page
    assert "Off the route: sent by the office." in office.get(f"/sites/{others.site_id}").text
