"""What a program that watches a server is told: health, counts, log lines, and nothing private."""

import base64
import json
import logging
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from prometheus_client.parser import text_string_to_metric_families
from sqlalchemy import text

from registry.services.tokens import make_token
from registry.wiring import Parts
from tests.pages.visitors import OWN, ROLES, Client, Visitors
from web.app import create_app
from web.log_lines import JsonLines

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from tests.demo import Demo

SITE = "/sites/1"


@pytest.fixture
def visitors(parts: Parts, own_demo: "Demo") -> Client:
    """Clients of a server process that has just begun."""
    app = create_app(parts, secret="for tests only")  # noqa: S106 - signs cookies of the tests
    return Visitors(app, own_demo.password)


def token(parts: Parts, scope: str) -> dict[str, str]:
    """Return the header that shows a new token of the administrator."""
    with parts.store.session() as session:
        _, secret = make_token(session, "administrator", "", parts.now(), scope)
    shown = base64.b64encode(f"administrator:{secret}".encode()).decode()
    return {"Authorization": f"Basic {shown}"}


def counts(said: str) -> dict[tuple[str, ...], float]:
    """Return the counted requests by method, route and status, as the format's own parser reads."""
    families = {one.name: one for one in text_string_to_metric_families(said)}
    return {
        (one.labels["method"], one.labels["route"], one.labels["status"]): one.value
        for one in families["riserway_requests"].samples
        if one.name.endswith("_total")
    }


def test_health_is_told_to_anybody_and_tells_nothing_else(visitors: Client) -> None:
    """draft-inadarei-api-health-check-06, sections 3 and 4."""
    answer = visitors("").get("/health")
    assert answer.status_code == 200
    assert answer.content_type == "application/health+json"
    check = {"componentType": "datastore", "status": "pass"}
    assert answer.json == {"status": "pass", "checks": {"store:answers": [check]}}


@pytest.mark.parametrize(
    ("change", "status", "word", "says"),
    [
        ("UPDATE alembic_version SET version_num = '0001'", 200, "warn", "different versions"),
        ("DELETE FROM alembic_version", 503, "fail", "no store where"),
    ],
)
def test_health_names_a_store_of_another_version_and_one_that_is_not_there(
    parts: Parts, change: str, status: int, word: str, says: str, tmp_path: Path, own_demo: "Demo"
) -> None:
    from registry.store import open_store

    copy = own_demo.copy(tmp_path / "copy")
    store = open_store(copy.store_url)
    with store.session() as session:
        session.execute(text(change))
    app = create_app(Parts(parts.settings, store), secret="for tests only")  # noqa: S106
    answer = app.test_client().get("/health")
    store.close()
    assert (answer.status_code, answer.json["status"]) == (status, word)
    assert says in answer.json["checks"]["store:answers"][0]["output"]


@pytest.mark.parametrize("role", ["", *ROLES])
def test_the_counts_are_for_an_administrator(visitors: Client, role: str) -> None:
    answer = visitors(role).get("/metrics")
    assert answer.status_code == {"": 401, "administrator": 200}.get(role, 403)
    assert ("WWW-Authenticate" in answer.headers) == (role == "")


def test_a_token_opens_what_it_was_made_for_and_nothing_else(
    visitors: Client, parts: Parts
) -> None:
    for scope, opens, stays in (
        ("measurements", "/metrics", "/ogc/collections"),
        ("features", "/ogc/collections", "/metrics"),
    ):
        shown = token(parts, scope)
        assert visitors("").get(opens, headers=shown).status_code == 200
        assert visitors("").get(stays, headers=shown).status_code == 401


def test_requests_are_counted_by_the_pattern_of_their_address(
    visitors: Client, parts: Parts
) -> None:
    office = visitors("dispatcher")
    for _ in range(3):
        office.get(SITE)
    office.get("/sites/999999")
    office.get("/planted-7731?planted-7731")
    office.open("/due/", method="PLANTED7731", headers=OWN)
    said = visitors("").get("/metrics", headers=token(parts, "measurements")).text
    found = counts(said)
    assert found["GET", "/sites/<int:site_id>", "200"] == 3
    assert found["GET", "/sites/<int:site_id>", "404"] == 1
    assert found["GET", "none", "404"] == 1
    assert found["other", "none", "405"] == 1
    assert "planted" not in said.lower()
    assert "riserway_requests_open 1.0" in said  # the one that asks
    assert 'riserway_jobs{state="queued"} 0.0' in said
    assert 'riserway_request_seconds_count{route="/sites/<int:site_id>"} 4.0' in said


class Kept(logging.Handler):
    """Keeps log lines as a program would read them."""

    def __init__(self) -> None:
        super().__init__()
        self.setFormatter(JsonLines())
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep a line."""
        self.lines.append(self.format(record))


@pytest.fixture
def kept() -> Iterator[Kept]:
    """The lines of the program's own log while a test runs."""
    log, handler = logging.getLogger("riserway"), Kept()
    level = log.level
    log.addHandler(handler)
    log.setLevel(logging.INFO)
    yield handler
    log.removeHandler(handler)
    log.setLevel(level)


def test_a_log_line_tells_a_request_and_not_what_was_asked_for(
    visitors: Client, kept: Kept
) -> None:
    visitors("dispatcher").get(f"{SITE}?planted-7731")
    line = json.loads(kept.lines[-1])
    assert line.pop("ms") > 0
    assert line.pop("at").endswith("+00:00")
    assert line == {
        "level": "info",
        "from": "riserway.requests",
        "says": "request",
        "method": "GET",
        "route": "/sites/<int:site_id>",
        "status": 200,
    }
    assert "planted" not in "".join(kept.lines)


def test_a_fault_in_the_log_tells_where_and_not_with_which_values(
    kept: Kept, app: "Flask", client: "Client"
) -> None:
    def broken() -> str:
        raise ValueError("planted-7731")

    view = app.view_functions["due_list.show"]
    app.view_functions["due_list.show"] = broken
    visitor: FlaskClient = client("dispatcher")
    answer = visitor.get("/due/")
    app.view_functions["due_list.show"] = view
    assert answer.status_code == 500
    fault = json.loads(next(one for one in kept.lines if '"error"' in one))
    assert fault["kind"] == "ValueError"
    assert fault["fault_in"][-1].endswith(" broken")
    assert fault["says"].removeprefix("fault ") in answer.text
    assert "planted" not in "".join(kept.lines)
