"""A server that is killed while a phone sends keeps whole all that it said it kept, once."""

import json
import os
import random
import signal
import time
from http.client import HTTPException
from http.cookiejar import CookieJar
from threading import Thread
from typing import Any
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, OpenerDirector, Request, build_opener
from uuid import UUID

import pytest

from tests.demo import Demo
from tests.killing import KINDS, Places, opened, problems
from tests.pages.test_recording_a_visit import readings_of, whole
from tests.pages.visitors import DAY, OWN
from tests.server import served

KILLS, SITES, LONGEST_S = 20, 40, 1.5
BATCH = 8
"""Records that a phone sends at once; the server keeps each by itself."""


def signed_in(url: str, demo: Demo) -> OpenerDirector:
    """Sign the technician in."""
    hands = build_opener(HTTPCookieProcessor(CookieJar()))
    form = urlencode({"username": "technician", "password": demo.password("technician")})
    hands.open(Request(f"{url}/sign-in", form.encode(), OWN), timeout=60).read()  # noqa: S310 - ours
    return hands


def send(hands: OpenerDirector, url: str, *records: dict[str, Any]) -> dict[str, str]:
    """Send a batch of an outbox and return what was answered to each record."""
    body = json.dumps({"records": records}).encode()
    asked = Request(f"{url}/records", body, OWN | {"Content-Type": "application/json"})  # noqa: S310
    told = json.load(hands.open(asked, timeout=60))["records"]
    return {one["id"]: str(one["status"]) for one in told}


def in_store(url: str, ids: set[str]) -> dict[str, int]:
    """Return the visits of a store that have these ids, and how many readings each has."""
    from registry.store import gate_visits, visits

    with opened(url) as store, store.reading() as session:
        found = visits.visits_with_ids(session, sorted(ids))
        assert all(gate_visits.digest_of(session, one.id) for one in found)
        return {one.id: len(one.readings) for one in found}


@pytest.mark.long
@pytest.mark.parametrize("store_kind", KINDS)
def test_what_a_killed_server_said_it_kept_is_there_whole_and_once(
    places: Places, county: str, store_kind: str, demo: Demo
) -> None:
    chance = random.Random(7)  # noqa: S311 - moments, not secrets
    url = places.like(county)
    kept: set[str] = set()
    with served(url, demo.folder, "--on", DAY) as server:
        hands = signed_in(server.url, demo)
        forms = []
        for site_id in range(1, SITES + 1):
            form = f"{server.url}/gate/{site_id}/{DAY}/form.json"
            forms.append(json.load(hands.open(form, timeout=60)))
    sent: dict[str, dict[str, Any]] = {}
    there: dict[str, int] = {}
    cut = 0
    for turn in range(KILLS):
        ids = [str(UUID(int=1000 * turn + at, version=4)) for at in range(SITES)]
        records = [whole(form, id=one) for one, form in zip(ids, forms, strict=True)]
        sent |= {one["id"]: one for one in records}
        with served(url, demo.folder, "--on", DAY) as server:
            hands = signed_in(server.url, demo)
            Thread(target=_kill_after, args=(server.process, chance.random() * LONGEST_S)).start()
            for at in range(0, SITES, BATCH):
                try:
                    told = send(hands, server.url, *records[at : at + BATCH])
                except (OSError, HTTPException):
                    cut += 1
                    break
                assert set(told.values()) == {"kept"}
                kept |= set(told)
            time.sleep(LONGEST_S)
        assert problems(url) == []
        there = in_store(url, set(sent))
        assert kept <= set(there)
        assert all(there[one] == readings_of(sent[one]) for one in there)
    assert cut >= KILLS / 2
    with served(url, demo.folder, "--on", DAY) as server:
        hands = signed_in(server.url, demo)
        for one in sorted(there):
            assert send(hands, server.url, sent[one]) == {one: "kept before"}


def _kill_after(process: int, wait_s: float) -> None:
    time.sleep(wait_s)
    os.kill(process, signal.SIGKILL)
