"""Half an hour of mixed use on PostGIS: no fault, memory that stays level, nothing lost."""

import json
import os
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import mean

import pytest
from sqlalchemy import func, select

from registry.records.changes import Role, Viewer
from registry.services.users import add_user
from registry.store.tables import (
    ChangeRow,
    JobRow,
    JurisdictionRow,
    PhotoRow,
    ReadingRow,
    SiteRow,
    TechnicianRow,
    VisitRow,
)
from tests import soaking
from tests.demo import Demo
from tests.killing import Places, opened, problems
from tests.pages.visitors import DAY
from tests.server import served
from tests.soaking import OFFICES, PHONES, READERS, Ledger, Person
from tests.store.rows import NOW

MINUTES = float(os.environ.get("RISERWAY_SOAK_MINUTES", "30"))
WARM = 1 / 3
"""The part of the time in which memory may grow: caches fill, pages are compiled."""
LEVEL = 0.10
PASSWORD = "a password for tests"  # noqa: S105


@pytest.fixture
def busy(places: Places, county: str) -> str:
    """A copy of the county, with a sign-in for each of the office and the readers."""
    url = places.like(county)
    with opened(url) as store, store.session() as session:
        over = tuple(session.scalars(select(JurisdictionRow.id)))
        firm_id = session.scalar(select(SiteRow.firm_id))
        for number in range(OFFICES):
            viewer = Viewer(name=f"office-{number}", role=Role.DISPATCHER, firm_id=firm_id)
            add_user(session, viewer, PASSWORD, NOW)
        for number in range(READERS):
            viewer = Viewer(name=f"reader-{number}", role=Role.COUNTY, jurisdiction_ids=over)
            add_user(session, viewer, PASSWORD, NOW)
    return url


@pytest.mark.long
@pytest.mark.postgis
@pytest.mark.parametrize("store_kind", ["postgis"])
def test_half_an_hour_of_mixed_use_loses_nothing_and_memory_stays_level(
    busy: str, store_kind: str, demo: Demo, tmp_path: Path
) -> None:
    before = _counted(busy)
    ledger = Ledger(busy)
    with (
        served(busy, demo.folder, "--on", DAY, "--seconds", "2") as first,
        served(
            busy, demo.copy(tmp_path / "second").folder, "--on", DAY, "--seconds", "2"
        ) as second,
    ):
        lives = _lives(ledger, (first.url, second.url), busy, demo.folder)
        with soaking.everybody(lives, ledger):
            memory = soaking.sampled([first.process, second.process], MINUTES)
        _let_orderings_end(busy)
    after = _counted(busy)
    warm = memory[int(len(memory) * WARM) :]
    tenth = max(len(warm) // 5, 1)
    early, late = (
        [mean(one[at] for one in part) for at in (0, 1)] for part in (warm[:tenth], warm[-tenth:])
    )
    figures = {
        "minutes": MINUTES, "requests": sum(ledger.statuses.values()),
        "statuses": dict(sorted(ledger.statuses.items())), "faults": ledger.faults[:20],
        "visits": len(ledger.kept), "photos": len(ledger.photos), "imports": ledger.imports,
        "orderings": ledger.ordered, "notes": sum(ledger.edits.values()),
        "memory_mb": [[round(one) for one in part] for part in (memory[0], early, late)],
        "most_mb": [round(max(one[at] for one in memory)) for at in (0, 1)],
    }  # fmt: skip
    print(json.dumps(figures))  # noqa: T201 - figures for docs/figures.md, shown by pytest -s
    assert not ledger.faults
    assert set(ledger.statuses) <= {200, 204, 409}
    assert all(abs(end / begin - 1) <= LEVEL for begin, end in zip(early, late, strict=True))
    assert ledger.kept == set(ledger.sent)
    assert after["visits"] - before["visits"] == len(ledger.kept)
    assert after["photos"] - before["photos"] == len(ledger.photos)
    assert after["notes"] - before["notes"] == sum(ledger.edits.values())
    assert after["unfinished"] == 0
    _require_whole(busy, ledger)
    assert problems(busy) == []


def _lives(
    ledger: Ledger, urls: tuple[str, str], county: str, folder: Path
) -> list[Callable[[], None]]:
    with opened(county) as store, store.reading() as session:
        technicians = list(session.scalars(select(TechnicianRow.id).order_by(TechnicianRow.id)))
    offices = [Person(urls[one % 2], ledger, one) for one in range(OFFICES)]
    for number, one in enumerate(offices):
        one.sign_in(f"office-{number}", PASSWORD)
    phones = [
        soaking.phone_of(urls[at % 2], offices[0], str(technicians[at % len(technicians)]), at)
        for at in range(PHONES)
    ]
    readers = [Person(urls[one % 2], ledger, 100 + one) for one in range(READERS)]
    for number, one in enumerate(readers):
        one.sign_in(f"reader-{number}", PASSWORD)
    own = [list(range(1 + at, 100, OFFICES)) for at in range(OFFICES)]

    def importing() -> None:
        while not ledger.stop.wait(120):
            soaking.import_again(ledger, folder)

    return [
        *(partial(one.live, soaking.visit_and_send, 30) for one in phones),
        *(partial(one.live, soaking.work_in_the_office, 15) for one in offices),
        *(
            partial(one.live, partial(soaking.change_a_note, sites=own[at]), 20)
            for at, one in enumerate(offices)
        ),
        partial(offices[0].live, soaking.order_a_day, 180),
        *(partial(one.live, soaking.read_the_county, 10) for one in readers),
        importing,
    ]


def _let_orderings_end(url: str) -> None:
    end = time.monotonic() + soaking.PATIENCE_S
    while _counted(url)["unfinished"] and time.monotonic() < end:
        time.sleep(1)


def _counted(url: str) -> dict[str, int]:
    asked = {
        "visits": select(func.count()).select_from(VisitRow),
        "photos": select(func.count()).select_from(PhotoRow),
        "notes": select(func.count())
        .select_from(ChangeRow)
        .where(ChangeRow.field == "private_note", ChangeRow.after.like("soaked %")),
        "unfinished": select(func.count()).select_from(JobRow).where(JobRow.state != "done"),
    }
    with opened(url) as store, store.reading() as session:
        return {name: session.scalar(one) or 0 for name, one in asked.items()}


def _require_whole(url: str, ledger: Ledger) -> None:
    """Every visit has the readings that were sent, every imported site the last note."""
    with opened(url) as store, store.reading() as session:
        found = session.execute(
            select(VisitRow.id, func.count(ReadingRow.id))
            .outerjoin(ReadingRow, ReadingRow.visit_id == VisitRow.id)
            .where(VisitRow.id.in_(ledger.sent))
            .group_by(VisitRow.id)
        )
        assert {one[0]: one[1] for one in found} == ledger.sent
        assert set(session.scalars(select(PhotoRow.id))) >= ledger.photos
        notes = list(session.scalars(select(SiteRow.note).where(SiteRow.key.like("SOAK-%"))))
    wanted = [f"import {ledger.imports}"] * (soaking.IMPORTED if ledger.imports else 0)
    assert notes == wanted
