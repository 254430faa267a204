"""Whatever is sent, the pages answer it or refuse it: no fault of ours, no word to elsewhere."""

import json
import socket
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some
from sqlalchemy import delete

from registry.store.tables import RequestCountRow
from tests.pages.test_recording_a_visit import form_of, whole
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from registry.wiring import Parts

MANY = settings().max_examples if settings().max_examples > 100 else 25
IN_A_TEST = settings(max_examples=MANY, suppress_health_check=list(HealthCheck))
ODD = (
    "", "0", "-1", "1e999", "NaN", "99999999999999999999", "null", "true", "2026-02-30", "../..",
    "2026-01-01/2026-06-30", "1,2,3,4", "-180,-90,180,90", "' OR 1=1 --", "'; DROP TABLE site; --",
    "%", "_", "\\", "\0", "\n", "\u202e", "😀", "<script>", "{{7*7}}", "=1+1", "a" * 5000, "[[[[",
    "http://169.254.169.254/", "file:///etc/passwd", "/vsicurl/http://127.0.0.1/",
)  # fmt: skip
VALUES = some.one_of(some.sampled_from(ODD), some.text(max_size=30))
JSON = some.recursive(
    some.one_of(some.none(), some.booleans(), some.integers(), some.floats(), VALUES),
    lambda inner: some.one_of(
        some.lists(inner, max_size=4), some.dictionaries(some.text(max_size=9), inner, max_size=4)
    ),
    max_leaves=12,
)


@pytest.fixture(scope="module")
def definition(client: Client) -> dict[str, Any]:
    """The API definition as county staff get it."""
    return dict(client("county").get("/ogc/api").json or {})


@IN_A_TEST
@given(data=some.data())
def test_whatever_the_definition_lets_be_asked_is_answered_or_refused(
    client: Client, definition: dict[str, Any], data: some.DataObject
) -> None:
    """Parameters and addresses are those of our own OpenAPI document."""
    path = data.draw(some.sampled_from(sorted(definition["paths"])))
    named = [
        one["$ref"].rpartition("/")[2] if "$ref" in one else one["name"]
        for one in definition["paths"][path]["get"].get("parameters", [])
        if one.get("in") != "path"
    ]
    names = some.one_of(some.sampled_from([*named, "f"]), some.text(min_size=1, max_size=8))
    asked = data.draw(some.dictionaries(names, VALUES, max_size=3))
    path = path.replace("{featureId}", quote(data.draw(VALUES), safe="") or "1")
    answer = client("county").get(f"/ogc{path}", query_string=asked)
    assert answer.status_code in {200, 400, 404}, answer.text
    if asked.get("f") != "html":
        assert isinstance(json.loads(answer.text), dict)


def test_words_of_sql_choose_what_nothing_is_called(client: Client) -> None:
    everything = client("county").get("/ogc/collections/systems/items").json or {}
    for word in ("' OR 1=1 --", "' OR ''='", '" OR ""="', "%", "_", "x' UNION SELECT 1 --"):
        found = client("county").get("/ogc/collections/systems/items", query_string={"kind": word})
        assert (found.json or {})["features"] == []
    again = client("county").get("/ogc/collections/systems/items").json or {}
    assert again["features"] == everything["features"]


@IN_A_TEST
@given(data=some.data())
def test_whatever_a_phone_sends_is_kept_or_refused_each_by_itself(
    client: Client, parts: "Parts", data: some.DataObject
) -> None:
    hands = client("technician")
    record = whole(form_of(hands, 1))
    for _ in range(data.draw(some.integers(1, 3))):
        where: Any = record
        name = data.draw(some.sampled_from(sorted(record)))
        if isinstance(record[name], list) and record[name] and data.draw(some.booleans()):
            where = data.draw(some.sampled_from(record[name]))
            if not isinstance(where, dict):
                where = record
            else:
                name = data.draw(some.sampled_from(sorted(where)))
        where[name] = data.draw(JSON)
    answer = hands.post("/records", json={"records": [record]}, headers=OWN)
    assert answer.status_code in {200, 429}, answer.text
    if answer.status_code == 200:
        assert (answer.json or {})["records"][0]["status"] in {"kept", "kept before", "refused"}
    with parts.store.session() as session:
        session.execute(delete(RequestCountRow))


@IN_A_TEST
@given(body=some.one_of(JSON.map(lambda one: json.dumps(one).encode()), some.binary(max_size=60)))
def test_a_body_that_is_no_batch_is_refused(client: Client, body: bytes) -> None:
    answer = client("dispatcher").post(
        "/records", data=body, content_type="application/json", headers=OWN
    )
    assert answer.status_code in {422, 429}, answer.text


PAGES = ["/", "/county/", "/due/", f"/day/{DAY}", "/sites/1", f"/gate/1/{DAY}", "/ogc/",
         "/files/sites.csv", "/files/overdue.html", f"/files/day/{DAY}.html"]  # fmt: skip


@pytest.fixture
def alone(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Refuse every connection that is opened, and tell of it."""
    tried: list[Any] = []

    def refused(_self: socket.socket, address: object) -> None:
        tried.append(address)
        raise OSError("no way out")

    monkeypatch.setattr(socket.socket, "connect", refused)
    monkeypatch.setattr(socket.socket, "connect_ex", refused)
    return tried


def test_no_page_opens_a_connection_to_anywhere(client: Client, alone: list[Any]) -> None:
    for role in ("dispatcher", "county"):
        for path in PAGES:
            assert client(role).get(path, buffered=True).status_code in {200, 302, 403}
            client(role).get(path, query_string={"url": ODD[-3], "kind": ODD[-3]}, buffered=True)
    assert alone == []
