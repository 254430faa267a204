"""The High water page: the map's places, what is handed to the Day, and by whom."""

import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from registry.records.changes import Role, Viewer
from registry.services.closures import list_closures
from registry.services.hold_visit import release_visit
from registry.services.make_demo import county_today
from registry.store import days
from registry.store.tables import FloodFactRow
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from collections.abc import Iterator

    from registry.records.visits import Hold
    from registry.wiring import Parts

OFFICE = Viewer(name="a test", role=Role.ADMINISTRATOR, firm_id=1)
AFTER = county_today() + timedelta(days=3)


def holds(parts: "Parts") -> "dict[tuple[int, str], Hold]":
    with parts.store.reading() as session:
        found = [one for on in (county_today(), AFTER) for one in days.holds_on(session, 1, on)]
    return {(one.site_id, one.on_date.isoformat()): one for one in found}


@pytest.fixture
def as_it_was(client: Client, parts: "Parts") -> "Iterator[None]":
    before = holds(parts)
    yield
    with parts.store.session() as session:
        for key, one in holds(parts).items():
            if key not in before:
                release_visit(session, OFFICE, one)
    client("dispatcher").post("/high-water/heed", data={"heed": "no"}, headers=OWN)


def test_the_map_s_places_say_at_which_stage_each_part_goes_under_first_ones_first(
    client: Client,
) -> None:
    told = client("county").get("/high-water/places.json").json
    assert told is not None
    stages = [[ft for _, ft in parts] for *_, parts in told["sites"]]
    assert len(stages) > 50
    assert all(one == sorted(one) for one in stages)
    assert {"inlet lid", "disconnect"} <= set(told["labels"])
    assert len(told["roads"]) == 9
    under = client("county").get("/high-water/?stage=15").text
    n_parts = sum(ft <= 15 for one in stages for ft in one)
    n_sites = sum(one[0] <= 15 for one in stages)
    assert f"{n_parts} components of {n_sites} sites under water" in under


@pytest.mark.usefixtures("as_it_was")
def test_what_is_to_be_done_before_the_water_is_handed_to_the_day_in_one_step(
    client: Client, parts: "Parts"
) -> None:
    office = client("dispatcher")
    page = office.get("/high-water/").text
    visits = re.findall(r'name="visit" value="(\d+)"', page)
    waits = re.findall(r'name="hold" value="(\d+)"', page)
    assert len(visits) > 20
    assert waits
    assert "panel too low" in page
    assert "it can float" in page
    wanted = {
        "visit": visits[:2],
        "hold": waits[:1],
        "visit_on": DAY,
        "hold_until": AFTER.isoformat(),
        "heed": "on",
    }
    refused = client("technician").post("/high-water/to-day", data=wanted, headers=OWN)
    assert refused.status_code == 403
    before = holds(parts)
    answer = office.post("/high-water/to-day", data=wanted, headers=OWN)
    assert answer.headers["Location"] == f"/day/{DAY}"
    made = {key: one for key, one in holds(parts).items() if key not in before}
    assert set(made) == {
        *((int(one), DAY) for one in visits[:2]), (int(waits[0]), AFTER.isoformat())}  # fmt: skip
    assert all(
        one.note.startswith("before high water: ") for key, one in made.items() if key[1] == DAY
    )
    with parts.store.reading() as session:
        closed = list_closures(session, OFFICE, county_today())
    assert "by the forecast of Mill bridge" in " ".join(one.why for one in closed)
    shown = office.get(f"/day/{DAY}").text
    assert "Bridge Street, low place 3</strong>, closed" in shown
    assert 'name="closure" value="0"' not in shown  # no forecast is opened again by hand


def test_a_site_that_is_no_number_and_dates_in_the_wrong_order_are_refused_in_words(
    client: Client,
) -> None:
    wrong = {"visit_on": DAY, "hold_until": AFTER.isoformat(), "visit": "x"}
    answer = client("dispatcher").post("/high-water/to-day", data=wrong, headers=OWN)
    assert answer.status_code == 422
    assert "Load the page again" in answer.text
    late = {"visit_on": DAY, "hold_until": DAY, "hold": "1"}
    answer = client("dispatcher").post("/high-water/to-day", data=late, headers=OWN)
    assert answer.status_code == 422
    assert "need a later date" in answer.text


def test_in_a_zone_without_a_level_the_file_estimates_one_and_never_as_the_bfe(
    client: Client, parts: "Parts"
) -> None:
    with parts.store.reading() as session:
        asked = select(FloodFactRow.site_id, FloodFactRow.zone).order_by(FloodFactRow.site_id)
        zones = {zone: site_id for site_id, zone in session.execute(asked)}
    office = client("dispatcher")
    # FEMA, Managing Floodplain Development in Approximate Zone A Areas, 1995, example 1
    told = office.get(f"/sites/{zones['A']}?edge=323&other=325&interval=5&datum=NAVD88").text
    assert "<strong>Estimate:</strong> 325.5 ft NAVD88" in told.replace("&nbsp;", " ")
    assert "Estimate, not official: not a base flood elevation" in told
    assert "<dt>Base flood elevation</dt><dd>unknown" in told
    refused = office.get(f"/sites/{zones['A']}?edge=320&other=325&interval=5&datum=NAVD88")
    assert refused.status_code == 200
    assert "more than half the contour interval" in refused.text
    assert "Estimate a level" not in office.get(f"/sites/{zones['AE']}").text
