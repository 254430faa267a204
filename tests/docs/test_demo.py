"""``riserway demo``: the county comes in whole, its day is ordered, its pages are served."""

import json
import re
import shutil
import stat
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from registry.errors import ConflictError
from registry.records.places import Firm
from registry.services.demo_sign_ins import FILE, ROLES, demo_sign_ins
from registry.services.import_outcome import ImportRequest
from registry.services.make_demo import (
    CREDIT,
    Making,
    county_folder,
    county_today,
    importers,
    kept_day,
    make_county,
)
from registry.store import Author, open_store, places, users
from tests.docs.conftest import BIN, run

if TYPE_CHECKING:
    from registry.store import Store

NOW = datetime(2026, 6, 9, 15, 0, tzinfo=UTC)
PATIENCE_S = 90
DAY_KEYS = {"date", "routes", "waiting", "cost", "bound", "gap", "roads"}
ROUTE_KEYS = {"technician", "leaves", "returns", "drive_s", "wait_s", "visits"}
VISIT_KEYS = {
    *("site", "arrives", "starts", "leaves", "window", "tasks", "minutes", "water_gal", "held"),
}
WAITING_KEYS = {"site", "due_on", "days_overdue", "why"}


@pytest.fixture
def county(demo_county: Path, tmp_path: Path) -> Path:
    """A copy of the folder that the command made."""
    shutil.copytree(demo_county, tmp_path / "county")
    return tmp_path / "county"


@pytest.fixture
def county_store(county: Path) -> "Iterator[Store]":
    store = open_store(f"sqlite:///{county / 'county.sqlite'}")
    yield store
    store.close()


def demo(county: Path, *options: str) -> subprocess.CompletedProcess[str]:
    return run([str(BIN / "riserway"), "demo", "--folder", str(county), *options], county)


def making(folder: Path) -> Making:
    from registry.roads.network import build_network

    return Making(
        folder=folder,
        now=NOW,
        today=county_today(),
        build=partial(build_network, with_basemap=False),
        tell=lambda _text: None,
    )


def test_every_file_comes_in_without_a_reject_and_again_without_a_change(
    county_store: "Store", tmp_path: Path
) -> None:
    with county_store.session() as session:
        for kind, name, importer in importers(county_today()):
            request = ImportRequest(
                path=county_folder() / name, who="test", now=NOW, folder=tmp_path
            )
            counts = importer(session, request).counts
            assert (counts.rejected, counts.added, counts.changed) == (0, 0, 0), (kind, counts)
            assert counts.read == counts.unchanged > 0, kind


def test_the_store_is_sound(county: Path) -> None:
    checked = run([str(BIN / "riserway"), "store", "check", "--json"], county)
    assert json.loads(checked.stdout)["problems"] == []


def test_the_day_has_the_keys_that_scripts_rely_on_and_a_second_start_keeps_it(
    county: Path,
) -> None:
    first, second = (demo(county, "--no-serve", "--json") for _ in range(2))
    day = json.loads(first.stdout)
    assert set(day) >= DAY_KEYS
    assert all(set(route) >= ROUTE_KEYS for route in day["routes"])
    assert all(set(visit) >= VISIT_KEYS for route in day["routes"] for visit in route["visits"])
    assert all(set(one) >= WAITING_KEYS for one in day["waiting"])
    assert json.loads(second.stdout) == day
    assert second.stderr == ""  # nothing was built or ordered again


def test_the_day_asks_for_more_than_four_technicians_can_do(county: Path) -> None:
    day = json.loads(demo(county, "--no-serve", "--json").stdout)
    routed = sum(len(route["visits"]) for route in day["routes"])
    assert len(day["routes"]) == 4
    assert all(route["visits"] for route in day["routes"])
    assert routed >= 12
    assert 60 <= routed + len(day["waiting"]) <= 100
    late = [one["days_overdue"] for one in day["waiting"]]
    assert max(late) < 2 * 365
    assert "OSRM" in day["roads"]["source"] or "Dijkstra" in day["roads"]["source"]


def test_the_day_is_told_in_sentences(county: Path) -> None:
    told = demo(county, "--no-serve").stdout
    assert told.startswith("This is an invented county. It lives on Tuesday, 9 June 2026")
    assert re.search(r"Hester Thistlecroft leaves at \d\d:\d\d and is back at \d\d:\d\d", told)
    assert "Left waiting, the longest overdue first:" in told


def test_another_date_is_ordered_when_it_is_asked_for(county: Path) -> None:
    day = json.loads(
        demo(county, "--no-serve", "--json", "--on", "2026-06-10", "--seconds", "0.3").stdout
    )
    assert day["date"] == "2026-06-10"
    assert day["routes"]


def test_json_without_no_serve_is_refused(county: Path) -> None:
    refused = demo(county, "--json")
    assert refused.returncode == 2
    assert "--no-serve" in refused.stderr


def test_a_store_of_somebody_else_is_left_alone(sqlite_url: str, tmp_path: Path) -> None:
    store = open_store(sqlite_url)
    with store.session() as session:
        places.put_firm(session, Firm(name="Somebody else"), Author("test", NOW, "test"))
    with pytest.raises(ConflictError, match="--folder"):
        make_county(store, making(tmp_path))
    store.close()


def test_an_interrupted_making_is_taken_up_again(sqlite_url: str, tmp_path: Path) -> None:
    store = open_store(sqlite_url)
    with store.session() as session:
        users.set_setting(session, "invented county", "being filled")
        name, _, importer = importers(county_today())[0]
        assert name == "crew"
        importer(session, ImportRequest(path=county_folder() / "crew.toml", who="x", now=NOW))
    make_county(store, making(tmp_path))
    _, day = kept_day(store, county_today())
    assert day is None
    with store.reading() as session:
        assert users.setting(session, "invented county") == "filled"
    store.close()


def test_sign_ins_stand_in_a_file_that_only_its_owner_reads(county: Path) -> None:
    file = county / FILE
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    names = [line.split()[0] for line in file.read_text().splitlines()[1:]]
    assert names == [role.value for role in ROLES]


def test_sign_ins_are_kept_and_renewed_only_when_their_file_is_lost(
    county: Path, county_store: "Store"
) -> None:
    with county_store.session() as session:
        kept = demo_sign_ins(session, county, NOW)
        assert demo_sign_ins(session, county, NOW) == kept
        (county / FILE).unlink()
        renewed = demo_sign_ins(session, county, NOW)
        assert {one.name for one in renewed} == {one.name for one in kept}
        assert not {one.password for one in renewed} & {one.password for one in kept}


def test_the_county_sees_its_sites_and_no_private_field(county: Path) -> None:
    out = county / "county.csv"
    done = run(
        [str(BIN / "riserway"), "export", "sites", "--role", "county", "--to", str(out)], county
    )
    assert done.returncode == 0, done.stderr
    text = out.read_text(encoding="utf-8")
    assert "W-1001" in text
    assert "555-01" not in text
    assert "@example.org" not in text
    assert "key under the third stone" not in text


def test_due_dates_of_the_county_spread_over_the_year(county_store: "Store") -> None:
    from registry.services.due_visits import due_visits

    firm_id, _ = kept_day(county_store, county_today())
    with county_store.reading() as session:
        soon = due_visits(session, firm_id, county_today(), 30)
        later = due_visits(session, firm_id, county_today() + timedelta(days=120), 30)
    assert 60 <= len(soon) <= 95
    assert len(later) > len(soon) + 40
    assert sum(one.due_on < county_today() for one in soon) >= 25
    assert min(one.due_on for one in soon) > date(2024, 6, 9)


def test_the_pages_are_served_and_maps_bear_the_county_s_own_credit(county: Path) -> None:
    log = county / "serve.log"
    with log.open("w") as written:
        process = subprocess.Popen(
            [str(BIN / "riserway"), "demo", "--folder", str(county), "--port", "0"],
            stdin=subprocess.DEVNULL,
            stdout=written,
            stderr=written,
        )
    try:
        give_up = time.monotonic() + PATIENCE_S
        while "Ctrl+C" not in log.read_text() and time.monotonic() < give_up:
            assert process.poll() is None, log.read_text()
            time.sleep(0.1)
        said = log.read_text()
        found = re.search(r"The Day page:\s+(http://127\.0\.0\.1:\d+)/", said)
        assert found, said
        with urllib.request.urlopen(found[1] + "/") as answer:  # noqa: S310 - our own server
            assert answer.status == 200
    finally:
        process.terminate()
        process.wait(20)
    assert all(role.value in said for role in ROLES)
    network = (county / "roads" / (county / "roads/current").read_text().strip()) / "network.json"
    assert json.loads(network.read_text(encoding="utf-8"))["credit"] == CREDIT
