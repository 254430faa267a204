"""A working half hour: office, phones, readers, imports and orderings at once, each noted down."""

import csv
import json
import random
import re
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, timedelta
from http.cookiejar import CookieJar
from pathlib import Path
from threading import Event, Lock, Thread
from typing import Any
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener
from uuid import uuid4

from lxml import html
from werkzeug.test import encode_multipart

from tests.killing import ran
from tests.pages.test_photos import colour
from tests.pages.test_recording_a_visit import readings_of, whole
from tests.pages.visitors import DAY, MIDDLE, OWN, tile_at

PHONES, OFFICES, READERS = 20, 3, 4
SITES, OLDEST_DAYS = 200, 25
"""Visits are recorded at so many sites, of today and so many days before."""
IMPORTED = 300
PATIENCE_S = 300


@dataclass
class Ledger:
    """What everybody was told is kept, and how every request was answered."""

    url: str
    stop: Event = field(default_factory=Event)
    statuses: Counter[int] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    sent: dict[str, int] = field(default_factory=dict)
    """Visit → readings, of all that were sent."""
    kept: set[str] = field(default_factory=set)
    photos: set[str] = field(default_factory=set)
    edits: Counter[int] = field(default_factory=Counter)
    """Site → changes of its note that the office was told are kept."""
    ordered: int = 0
    imports: int = 0
    lock: Lock = field(default_factory=Lock)

    def note(self, status: int, what: str) -> None:
        """Note one answer; a fault of ours, and no answer at all, by its address."""
        with self.lock:
            self.statuses[status] += 1
            if status >= 500 or not status:
                self.faults.append(f"{status} {what}")


class Person:
    """A browser of one sign-in or phone before one of the servers."""

    def __init__(self, url: str, ledger: Ledger, seed: int) -> None:
        self.url, self.ledger = url, ledger
        self.chance = random.Random(seed)  # noqa: S311 - what people do next, not secrets
        self.hands = build_opener(HTTPCookieProcessor(CookieJar()))

    def ask(self, path: str, body: bytes | None = None, kind: str = "") -> tuple[int, bytes]:
        """Ask or send, and note how it was answered; 0 = not at all."""
        heads = OWN | ({"Content-Type": kind} if kind else {})
        try:
            asked = Request(f"{self.url}{path}", body, heads)  # noqa: S310 - ours
            with self.hands.open(asked, timeout=PATIENCE_S) as answer:
                status, told = answer.status, answer.read()
        except HTTPError as refused:
            status, told = refused.code, refused.read()
        except OSError as gone:
            status, told = 0, str(gone).encode()
        self.ledger.note(status, f"{path} {told[:200]!r}" if not status else path)
        return status, told

    def form(self, path: str, **fields: Any) -> tuple[int, bytes]:
        """Send a form."""
        return self.ask(path, urlencode(fields).encode(), "application/x-www-form-urlencoded")

    def sign_in(self, name: str, password: str) -> None:
        """Sign in."""
        self.form("/sign-in", username=name, password=password)

    def live(self, act: Callable[["Person"], None], rest_s: float) -> None:
        """Do something again and again, with rests, until all stop."""
        while not self.ledger.stop.wait(rest_s * (0.5 + self.chance.random())):
            try:
                act(self)
            except Exception as wrong:  # noqa: BLE001 - a thread's fault must not be lost
                self.ledger.note(0, f"{act}: {wrong!r}")


def phone_of(url: str, office: Person, technician: str, seed: int) -> Person:
    """Return a phone that the office has just paired."""
    told = office.form("/phones/pair", technician_id=technician, name=f"phone {seed}")[1].decode()
    code = re.search(r'class="pairing-code">([^<]+)<', told)
    assert code is not None
    phone = Person(url, office.ledger, seed)
    assert phone.form("/pair/", code=code[1])[0] == 200
    return phone


def visit_and_send(phone: Person) -> None:
    """Look at the own day, record one to three visits, send them, and now and then twice."""
    phone.ask("/carry/day.json")
    phone.ask(f"/day/{DAY}/own-route.json")
    records = []
    for _ in range(phone.chance.choice((1, 1, 2, 3))):
        on = date.fromisoformat(DAY) - timedelta(days=phone.chance.randrange(OLDEST_DAYS))
        site_id = phone.chance.randint(1, SITES)
        told = json.loads(phone.ask(f"/gate/{site_id}/{DAY}/form.json")[1])
        records.append(whole(told, id=str(uuid4()), on_date=on.isoformat()))
    phone.ledger.sent.update({one["id"]: readings_of(one) for one in records})
    body = json.dumps({"records": records}).encode()
    for _ in range(phone.chance.choice((1, 1, 1, 2))):
        status, told_back = phone.ask("/records", body, "application/json")
        if status == 200:
            for one in json.loads(told_back)["records"]:
                if one["status"].startswith("kept"):
                    phone.ledger.kept.add(one["id"])
                else:
                    phone.ledger.note(0, f"/records {one}")
    if phone.chance.random() < 0.3:
        _send_photo(phone, records[0])


def _send_photo(phone: Person, record: dict[str, Any]) -> None:
    photo_id = str(uuid4())
    said = {"id": photo_id, "site_id": record["site_id"], "visit_id": record["id"],
            "taken_at": f"{DAY}T14:05:00-07:00"}  # fmt: skip
    bounds, body = encode_multipart({"body": json.dumps(said)})
    part = (f'--{bounds}\r\nContent-Disposition: form-data; name="file"; filename="a.jpg"\r\n'
            "Content-Type: image/jpeg\r\n\r\n").encode()  # fmt: skip
    end = f"--{bounds}--\r\n".encode()
    whole_body = (
        body.removesuffix(end) + part + colour(phone.chance.randint(1, 400)) + b"\r\n" + end
    )
    if phone.ask("/photos", whole_body, f"multipart/form-data; boundary={bounds}")[0] == 200:
        phone.ledger.photos.add(photo_id)


def work_in_the_office(office: Person) -> None:
    """Look at the day, hold and release a visit, change the note of a site of one's own."""
    for path in (
        f"/day/{DAY}",
        f"/day/{DAY}/running.json",
        "/due/",
        "/reports/",
        "/files/sites.csv",
    ):
        if office.chance.random() < 0.6:
            office.ask(path)
    other = date.fromisoformat(DAY) + timedelta(days=office.chance.randint(2, 5))
    site_id = office.chance.randint(1, SITES)
    office.form(f"/day/{other}/hold", site_id=site_id, technician_id="")
    office.form(f"/day/{other}/release", site_id=site_id, technician_id="")


def change_a_note(office: Person, sites: list[int]) -> None:
    """Change the note of one site, which nobody else changes."""
    site_id = office.chance.choice(sites)
    path = f"/sites/{site_id}/edit/site/{site_id}"
    page: Any = html.fromstring(office.ask(path)[1])
    form = page.xpath("//form[contains(@class,'edit')]")[0]
    fields = {name: value or "" for name, value in form.form_values()}
    if office.form(path, **(fields | {"is:private_note": f"soaked {uuid4()}"}))[0] == 200:
        office.ledger.edits[site_id] += 1


def order_a_day(office: Person) -> None:
    """Order a day anew from its page."""
    if office.form(f"/day/{DAY}/order")[0] == 200:
        office.ledger.ordered += 1


def read_the_county(reader: Person) -> None:
    """Look at map, tiles, lists, numbers, a site and a file, as county staff do."""
    tile = tile_at(reader.chance.randint(8, 14), *(one + reader.chance.uniform(-0.1, 0.1)
                                                   for one in MIDDLE))  # fmt: skip
    paths = ("/county/?late=all", f"/tiles/systems/{tile}.pbf", "/due/?within=60", "/numbers/",
             "/high-water/?stage=18", f"/sites/{reader.chance.randint(1, SITES)}",
             "/files/overdue.csv", "/files/overdue.geojson")  # fmt: skip
    for path in reader.chance.sample(paths, 4):
        reader.ask(path)


def import_again(ledger: Ledger, folder: Path) -> None:
    """Bring a file of sites in, with another note on each."""
    path = folder / "soaked.csv"
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(["key", "lon", "lat", "kind", "jurisdiction", "note"])
        for number in range(IMPORTED):
            lon, lat = MIDDLE[0] + number % 20 / 1000, MIDDLE[1] + number // 20 / 1000
            writer.writerow([f"SOAK-{number}", lon, lat, "gravity", "Wendmark County",
                             f"import {ledger.imports + 1}"])  # fmt: skip
    ended = ran(ledger.url, ("import", "sites", path, "--json"), folder)
    if ended.code:
        ledger.note(0, f"import: {ended.err[-300:]}")
    else:
        ledger.imports += 1


def memory_mb(process: int) -> float:
    """Return the resident memory of a process. [MB]"""
    said = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    return int(next(one for one in said.splitlines() if one.startswith("VmRSS")).split()[1]) / 1024


@contextmanager
def everybody(lives: list[Callable[[], None]], ledger: Ledger) -> Iterator[None]:
    """Let each live in a thread of its own until the block ends."""
    threads = [Thread(target=one) for one in lives]
    for one in threads:
        one.start()
    try:
        yield
    finally:
        ledger.stop.set()
        for one in threads:
            one.join()


def sampled(processes: list[int], minutes: float, every_s: float = 15) -> list[list[float]]:
    """Return the memory of each process, looked at until the minutes are over. [MB]"""
    end, found = time.monotonic() + 60 * minutes, []
    while time.monotonic() < end:
        time.sleep(every_s)
        found.append([memory_mb(one) for one in processes])
    return found
