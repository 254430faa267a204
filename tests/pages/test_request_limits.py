"""Whoever sends too much is asked to wait; no address that writes is without a limit."""

from collections.abc import Iterator
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import delete

from registry.errors import LimitError
from registry.services.request_limits import LIMITS, WINDOW, Limit, count_requests
from registry.store.tables import RequestCountRow
from tests.pages.visitors import DAY, OWN, Client
from web.headers import SAFE
from web.limits import KINDS, NOT_COUNTED

if TYPE_CHECKING:
    from flask import Flask

    from registry.wiring import Parts

USER = 4711
SHIPPED = dict(LIMITS)
"""The limits as they are, before a test makes them small."""


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch, parts: "Parts") -> Iterator[None]:
    """Take few requests of each kind, and forget all of them at the end."""
    for kind, limit in LIMITS.items():
        monkeypatch.setitem(LIMITS, kind, Limit(4, min(limit.step, 2)))
    yield
    with parts.store.session() as session:
        session.execute(delete(RequestCountRow))


def test_the_window_slides(parts: "Parts") -> None:
    """Four at once are taken, the fifth a window later; the error says exactly when."""
    now = parts.now()
    with parts.store.session() as session:
        count_requests(session, USER, "records", 1, now)
        count_requests(session, USER, "records", 3, now + timedelta(minutes=4))
        with pytest.raises(LimitError, match="Wait 4 minutes") as reached:
            count_requests(session, USER, "records", 1, now + timedelta(minutes=6))
        assert reached.value.wait_s == 240
        count_requests(session, USER + 1, "records", 4, now + timedelta(minutes=6))
        count_requests(session, USER, "forms", 4, now + timedelta(minutes=6))
        free_at = now + WINDOW + timedelta(seconds=1)
        count_requests(session, USER, "records", 1, free_at)
        with pytest.raises(LimitError):
            count_requests(session, USER, "records", 1, free_at)


def test_records_beyond_the_limit_are_answered_as_json_with_when_to_come_back(
    client: Client,
) -> None:
    statuses = [
        client("technician").post("/records", json={"records": []}, headers=OWN).status_code
        for _ in range(4)
    ]
    assert statuses == [200] * 4
    answer = client("technician").post("/records", json={"records": []}, headers=OWN)
    assert answer.status_code == 429
    assert 0 < int(answer.headers["Retry-After"]) <= WINDOW.total_seconds()
    assert "Wait 10 minutes" in (answer.json or {})["complaints"][0]
    other = client("dispatcher").post("/records", json={"records": []}, headers=OWN)
    assert other.status_code == 200


def test_a_page_says_how_long_to_wait(client: Client) -> None:
    path = f"/day/{DAY}/what-if?longer=Hester Thistlecroft"
    statuses = [client("dispatcher").get(path).status_code for _ in range(5)]
    assert statuses[-1] == 429
    answer = client("dispatcher").get(path)
    assert "Wait 10 minutes, then go on." in answer.text
    assert int(answer.headers["Retry-After"]) > 0
    assert client("dispatcher").get(f"/day/{DAY}").status_code == 200


def test_what_only_looks_is_counted_by_steps_and_refused_in_the_words_of_its_page(
    client: Client, parts: "Parts"
) -> None:
    """Two at once: the sixth is refused, and so is each one after it."""
    answers = [
        client("dispatcher").post(f"/day/{DAY}/try.json", json={}, headers=OWN) for _ in range(7)
    ]
    assert [one.status_code == 429 for one in answers] == [False] * 5 + [True] * 2
    assert "Wait" in (answers[-1].json or {})["error"]
    with parts.store.reading() as session:
        assert session.query(RequestCountRow).count() == 2


def test_a_refused_request_does_not_count(client: Client, parts: "Parts") -> None:
    for _ in range(9):
        client("technician").post("/records", json={"records": []}, headers=OWN)
    with parts.store.reading() as session:
        assert session.query(RequestCountRow).count() == 4


def test_nobody_who_is_not_signed_in_is_counted(client: Client, parts: "Parts") -> None:
    for _ in range(9):
        client("").post("/records", json={"records": []}, headers=OWN)
    with parts.store.reading() as session:
        assert session.query(RequestCountRow).count() == 0


def test_every_address_of_the_table_is_there_and_every_other_write_counts_as_a_form(
    app: "Flask", client: Client
) -> None:
    known = {one.endpoint for one in app.url_map.iter_rules()}
    assert KINDS.keys() | set(NOT_COUNTED) <= known
    assert set(KINDS.values()) | {"forms"} == LIMITS.keys()
    for _ in range(4):
        client("dispatcher").post(f"/day/{DAY}/call", data={}, headers=OWN)
    writes = [
        one.endpoint
        for one in app.url_map.iter_rules()
        if (one.methods or set()) - SAFE and one.endpoint not in {*KINDS, *NOT_COUNTED}
    ]
    assert len(writes) > 10
    answer = client("dispatcher").post(f"/day/{DAY}/release", data={}, headers=OWN)
    assert answer.status_code == 429


def test_the_shipped_limits_let_a_phone_and_a_dispatcher_do_their_work() -> None:
    """200 records and 60 photos after a day without signal; a carried visit asks 4 times a second.

    Common practice, no source.
    """
    assert SHIPPED["records"].most >= 2 * 200
    assert SHIPPED["photos"].most >= 2 * 60
    assert SHIPPED["tries"].most >= 4 * WINDOW.total_seconds()
