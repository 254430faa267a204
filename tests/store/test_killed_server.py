"""A server that is killed while a phone sends keeps whole all that it said it kept, once."""

import json
import os
import random
import signal
import time
from http.cookiejar import CookieJar
from threading import Thread
from typing import Any
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, OpenerDirector, Request, build_opener
from uuid import UUID

import pytest

from tests.demo import Demo
from tests.killing import opened, problems
from tests.pages.test_recording_a_visit import whole
from tests.pages.visitors import DAY, OWN
from tests.server import served

KILLS, SITES, LONGEST_S = 20, 30, 1.5


def signed_in(url: str, demo: Demo) -> OpenerDirector:
    """Sign the technician in."""
    hands = build_opener(HTTPCookieProcessor(CookieJar()))
    form = urlencode({"username": "technician", "password": demo.password("technician")})
    hands.open(Request(f"{url}/sign-in", form.encode(), OWN), timeout=60).read()  # noqa: S310 - ours
    return hands


def send(hands: OpenerDirector, url: str, record: dict[str, Any]) -> str:
    """Send one record and return what was answered to it."""
    body = json.dumps({"records": [record]}).encode()
    asked = Request(f"{url}/records", body, OWN | {"Content-Type": "application/json"})  # noqa: S310
    return str(json.load(hands.open(asked, timeout=60))["records"][0]["status"])


def in_store(url: str, ids: set[str]) -> dict[str, int]:
    """Return the visits of a store that have these ids, and how many readings each has."""
    from registry.store import gate_visits, visits

    with opened(url) as store, store.reading() as session:
        found = visits.visits_with_ids(session, sorted(ids))
        assert all(gate_visits.digest_of(session, one.id) for one in found)
        return {one.id: len(one.readings) for one in found}


@pytest.mark.long
def test_what_a_killed_server_said_it_kept_is_there_whole_and_once(demo: Demo) -> None:
    chance = random.Random(7)  # noqa: S311 - moments, not secrets
    kept: set[str] = set()
    with served(demo.store_url, demo.folder, "--on", DAY) as server:
        hands = signed_in(server.url, demo)
        forms = []
        for site_id in range(1, SITES + 1):
            form = f"{server.url}/gate/{site_id}/{DAY}/form.json"
            forms.append(json.load(hands.open(form, timeout=60)))
    sent: dict[str, dict[str, Any]] = {}
    for turn in range(KILLS):
        ids = [str(UUID(int=1000 * turn + at, version=4)) for at in range(SITES)]
        records = [whole(form, id=one) for one, form in zip(ids, forms, strict=True)]
        sent |= {one["id"]: one for one in records}
        with served(demo.store_url, demo.folder, "--on", DAY) as server:
            hands = signed_in(server.url, demo)
            Thread(target=_kill_after, args=(server.process, chance.random() * LONGEST_S)).start()
            for record in records:
                try:
                    if send(hands, server.url, record).startswith("kept"):
                        kept.add(record["id"])
                except OSError:
                    break
            time.sleep(LONGEST_S)
        assert problems(demo.store_url) == []
        there = in_store(demo.store_url, set(sent))
        assert kept <= set(there)
        assert all(there[one] == len(sent[one]["readings"]) for one in there)
    assert kept
    with served(demo.store_url, demo.folder, "--on", DAY) as server:
        hands = signed_in(server.url, demo)
        assert {send(hands, server.url, sent[one]) for one in sorted(kept)} == {"kept before"}


def _kill_after(process: int, wait_s: float) -> None:
    time.sleep(wait_s)
    os.kill(process, signal.SIGKILL)
