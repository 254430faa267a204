"""A program that is killed leaves all of what it was doing or nothing, and loses no word given.

Each act is killed at one moment here and at twenty in the long suite, on both kinds of store.
"""

import csv
import json
from datetime import date
from pathlib import Path

import pytest

from registry.services.make_demo import county_today
from tests.demo import Demo
from tests.killing import KINDS, Moments, Places, opened, problems, ran, rows_by_table, time_of

LONG = 20
"""Moments at which each act is killed in the long suite, on each kind of store."""
ROWS = 8_000
OLD = "0003"
"""An old revision, from which a store is brought to the newest one."""
DAY = county_today()


def sites_file(folder: Path) -> Path:
    """Write an invented county on a grid."""
    path = folder / "sites.csv"
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(["key", "lon", "lat", "kind"])
        for number in range(ROWS):
            east, north = number % 200, number // 200
            writer.writerow([f"S-{number}", -140 + east / 1000, 45 + north / 1000, "mound"])
    return path


def site_count(url: str) -> int:
    from registry.store.soundness import site_count as counted

    with opened(url) as store, store.reading() as session:
        return counted(session)


def killed_import(places: Places, _county: str, folder: Path, moments: Moments) -> None:
    words = ("import", "sites", sites_file(folder), "--json")
    whole_s = time_of(places.like(places.migrated), words, folder) if moments.many > 1 else 2.0
    for wait_s in moments.within(whole_s):
        url = places.like(places.migrated)
        ended = ran(url, words, folder, kill_after_s=wait_s)
        moments.killed += ended.was_killed
        assert problems(url) == []
        assert site_count(url) in ({0, ROWS} if ended.was_killed else {ROWS})
        places.give_back(url)
    url = places.like(places.migrated)
    ran(url, words, folder, kill_after_s=whole_s / 2)
    again = ran(url, words, folder)
    assert again.code == 0, again.err
    counts = json.loads(again.out)
    assert counts["added"] + counts["unchanged"] == ROWS
    assert site_count(url) == ROWS


def killed_copy_in(places: Places, county: str, folder: Path, moments: Moments) -> None:
    assert ran(county, ("store", "copy-out", "county.zip"), folder).code == 0
    words = ("store", "copy-in", "county.zip")
    wanted = rows_by_table(county)
    del wanted["user_account"]  # a copy gives each sign-in a new key to its sessions
    whole_s = time_of(places.bare(), words, folder) if moments.many > 1 else 2.5
    for wait_s in moments.within(whole_s):
        url = places.bare()
        ended = ran(url, words, folder, kill_after_s=wait_s)
        moments.killed += ended.was_killed
        if _is_like(url, wanted):
            assert problems(url) == []
        else:
            assert ended.was_killed
            _require_nothing_in(url)
        places.give_back(url)
    url = places.bare()
    ran(url, words, folder, kill_after_s=whole_s / 2)
    ran(url, ("store", "upgrade"), folder)  # where it died between two migrations
    again = ran(url, words, folder)
    assert again.code == 0 or _is_like(url, wanted), again.err
    assert problems(url) == []


def _is_like(url: str, wanted: dict[str, str]) -> bool:
    from registry.store.revisions import newest, revision

    with opened(url) as store:
        if revision(store) != newest():
            return False
    found = rows_by_table(url)
    return {name: found[name] for name in wanted} == wanted


def _require_nothing_in(url: str) -> None:
    from sqlalchemy import inspect, text

    with opened(url) as store, store.reading() as session:
        names = set(inspect(session.connection()).get_table_names())
        for name in names - {"alembic_version", "spatial_ref_sys"}:
            assert session.scalar(text(f'SELECT count(*) FROM "{name}"')) == 0, name  # noqa: S608


def killed_migration(places: Places, county: str, folder: Path, moments: Moments) -> None:
    from registry.store.migrate import downgrade, upgrade
    from registry.store.revisions import known_revisions, revision

    old = places.like(county)
    with opened(old) as store:
        downgrade(store, OLD)
    words = ("store", "upgrade")
    whole_s = time_of(places.like(old), words, folder) if moments.many > 1 else 2.5
    model = places.like(old)
    with opened(model) as store:
        upgrade(store)
    wanted = rows_by_table(model)
    for wait_s in moments.within(whole_s):
        url = places.like(old)
        moments.killed += ran(url, words, folder, kill_after_s=wait_s).was_killed
        with opened(url) as store:
            assert revision(store) in known_revisions()
        again = ran(url, words, folder)
        assert again.code == 0, again.err
        assert problems(url) == []
        assert rows_by_table(url) == wanted
        places.give_back(url)


def killed_plan(places: Places, county: str, folder: Path, moments: Moments) -> None:
    words = ("plan", DAY, "--seconds", "1", "--today", DAY, "--json")
    model = places.like(county)
    before = _versions(model, DAY)
    whole_s = time_of(model, words, folder) if moments.many > 1 else 5.0
    for wait_s in moments.within(whole_s):
        url = places.like(county)
        ended = ran(url, words, folder, kill_after_s=wait_s)
        moments.killed += ended.was_killed
        assert problems(url) == []
        after = _versions(url, DAY)
        assert after[: len(before)] == before
        assert len(after) - len(before) in ({0, 1} if ended.was_killed else {1})
        assert all(one == before[0] for one in after)  # every visit is on a route or waits
        places.give_back(url)


def _versions(url: str, on_date: date) -> list[frozenset[str]]:
    """Return the sites of each version of a day's plan, the oldest first."""
    from registry.store import names
    from registry.store.day_versions import day_version, versions_of

    with opened(url) as store, store.reading() as session:
        firm_id = next(iter(names.firm_ids(session).values()))
        found = []
        for one in reversed(versions_of(session, firm_id, on_date)):
            day = day_version(session, firm_id, on_date, one.number)
            visits = [stop.site for route in day.routes for stop in route.visits]
            found.append(frozenset([*visits, *(one.site for one in day.waiting)]))
        return found


ACTS = {
    "import": killed_import,
    "copy-in": killed_copy_in,
    "migration": killed_migration,
    "plan": killed_plan,
}


@pytest.mark.parametrize(
    ("act", "store_kind"),
    [("import", "postgis"), ("copy-in", "sqlite"), ("migration", "sqlite"), ("plan", "sqlite")],
)
def test_what_is_killed_once_leaves_all_or_nothing(
    act: str, places: Places, county: str, store_kind: str, demo: Demo
) -> None:
    ACTS[act](places, county, demo.folder, Moments(1))


@pytest.mark.long
@pytest.mark.parametrize("act", ACTS)
@pytest.mark.parametrize("store_kind", KINDS)
def test_what_is_killed_at_twenty_moments_leaves_all_or_nothing(
    act: str, places: Places, county: str, store_kind: str, demo: Demo
) -> None:
    moments = Moments(LONG)
    ACTS[act](places, county, demo.folder, moments)
    assert moments.killed == LONG
