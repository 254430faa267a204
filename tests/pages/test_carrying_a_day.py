"""What a technician's phone takes along, the worker that serves it, and whose records it sends."""

import json
import re
from typing import TYPE_CHECKING
from urllib.parse import quote
from uuid import uuid4

from sqlalchemy import func, select

from registry.store.tables import DayNoteRow, RouteRow
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from registry.wiring import Parts


def sent(client: "FlaskClient", record: dict[str, object], **headers: str) -> tuple[int, object]:
    """Send one record; returns the status, and what is said of it."""
    answer = client.post("/records", json={"records": [record]}, headers={**OWN, **headers})
    return answer.status_code, answer.get_json()


def test_only_a_technician_takes_a_day_along_the_own_sites_and_no_others(
    client: Client, parts: "Parts"
) -> None:
    assert client("").get("/carry/day.json").status_code == 302
    for role in ("dispatcher", "county", "administrator"):
        assert client(role).get("/carry/day.json").status_code == 403
    told = client("technician").get("/carry/day.json").get_json()
    assert (told["who"], told["on_date"], told["start"]) == ("technician", DAY, f"/day/{DAY}")
    sheets = {int(one.split("/")[2]) for one in told["sealed"]["gate sheets"]}
    with parts.store.reading() as session:
        routes = [
            {stop["site_id"] for stop in body["stops"] if stop["kind"] == "visit"}
            for body in session.scalars(select(RouteRow.body))
        ]
    assert sheets in routes
    assert told["sites"] == len(sheets)
    assert {int(one.split("=")[1]) for one in told["sealed"]["hydraulics pages"]} <= sheets


def test_everything_that_is_taken_along_is_there_and_nothing_leads_elsewhere(
    client: Client,
) -> None:
    visitor = client("technician")
    told = visitor.get("/carry/day.json").get_json()
    addresses = [one for several in told["sealed"].values() for one in several]
    for address in [*addresses, *told["files"], *told["tiles"][:3], "/carry/"]:
        answer = visitor.get(address, buffered=True)
        assert answer.status_code in {200, 204}, address
    assert any(one.startswith("/tiles/base/") for one in told["tiles"])
    assert (
        client("")
        .get(told["files"][0], buffered=True)
        .headers["Cache-Control"]
        .endswith("immutable")
    )


def test_the_page_of_what_is_on_a_phone_is_the_same_for_everybody(client: Client) -> None:
    pages = {
        re.sub(r"nonce=\"[^\"]+\"", "", client(who).get("/carry/").text)
        for who in ("", "technician")
    }
    assert len(pages) == 1


def test_the_worker_names_its_files_and_is_asked_for_anew_each_time(client: Client) -> None:
    answer = client("").get("/sw.js")
    assert answer.headers["Cache-Control"] == "no-cache"
    assert answer.mimetype == "text/javascript"
    told = json.loads(re.findall(r"serve\((.*)\);", answer.text)[0])
    assert f"/static/{told['edition']}/carry-worker.js" in told["files"]
    assert f"from '/static/{told['edition']}/carry-worker.js'" in answer.text


def test_what_one_technician_kept_is_not_taken_from_another_sign_in(client: Client) -> None:
    record = {"id": str(uuid4()), "kind": "arrival", "site_id": 1, "on_date": DAY}
    visitor = client("technician")
    status, said = sent(visitor, record, **{"Riserway-Who": quote("Séverine")})
    assert (status, said) == (
        401,
        {"complaints": ["Somebody else recorded this. Sign in as who it was."]},
    )
    assert sent(visitor, record, **{"Riserway-Who": "technician"})[0] == 200


def test_the_office_reads_in_which_order_a_technician_goes_on(
    client: Client, parts: "Parts"
) -> None:
    order = {
        "id": str(uuid4()), "kind": "order", "on_date": DAY, "site_ids": [2, 1],
        "at": f"{DAY}T15:00:00Z", "device_offset_s": 3600,
    }  # fmt: skip
    for _ in range(2):
        status, said = sent(client("technician"), order)
        assert (status, said["records"][0]["status"]) == (200, "kept")  # type: ignore[index]
    with parts.store.reading() as session:
        wanted = select(DayNoteRow.at_min, func.count()).where(DayNoteRow.kind == "own order")
        ((at_min, count),) = session.execute(wanted).all()
    assert count == 1
    assert at_min % 60 == 0
    page = client("dispatcher").get(f"/day/{DAY}").text
    assert "goes on in another order. W-1002, W-1001" in page
    for wrong in ([], "1", [10**9], None):
        said = sent(client("technician"), order | {"site_ids": wrong})[1]
        assert said["records"][0]["status"] == "refused"  # type: ignore[index]
    said = sent(client("dispatcher"), order)[1]
    assert "no technician" in said["records"][0]["complaints"][0]  # type: ignore[index]
