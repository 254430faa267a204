"""The pages answer alike over SQLite and over PostGIS, which makes tiles of marks itself."""

from datetime import date, timedelta
from typing import TYPE_CHECKING

import mapbox_vector_tile
import pytest
from flask.testing import FlaskClient
from lxml import html

from registry.records.changes import Role, Viewer
from registry.services.recompute_due import recompute_due
from registry.services.users import add_user
from registry.store import Store
from registry.store.tables import FloodFactRow, SiteRow
from registry.wiring import Parts
from tests.pages.visitors import sign_in, tile_at
from tests.store.due_rows import LAT, LON, STEP_DEG, county, house, visit

if TYPE_CHECKING:
    from pathlib import Path

TODAY = date(2026, 6, 15)
SECRET = "a password for tests"  # noqa: S105


@pytest.fixture
def pages(store: Store, store_url: str, tmp_path: "Path") -> dict[Role, FlaskClient]:
    """Clients of an office and a county over six holding tanks, three of them overdue."""
    from registry.config import Settings
    from web.app import create_app

    parts = Parts(Settings(store_url, tmp_path), store, TODAY)
    with store.session() as session:
        county(session)
        for number in range(1, 7):
            house(session, number, "holding tank")
            visit(session, number, TODAY - timedelta(days=405 - 10 * number))
        session.get_one(SiteRow, 1).gate_code = "planted-7731"
        session.add(FloodFactRow(site_id=2, zone="AE", in_hazard_area=True, below_bfe=True))
        session.flush()
        recompute_due(session, TODAY)
        add_user(
            session, Viewer(name="office", role=Role.DISPATCHER, firm_id=1), SECRET, parts.now()
        )
        clerk = Viewer(name="clerk", role=Role.COUNTY, jurisdiction_ids=(1,))
        add_user(session, clerk, SECRET, parts.now())
    app = create_app(parts, secret="for tests only")  # noqa: S106
    made = {Role.DISPATCHER: app.test_client(), Role.COUNTY: app.test_client()}
    for role, name in ((Role.DISPATCHER, "office"), (Role.COUNTY, "clerk")):
        assert sign_in(made[role], name, SECRET).status_code == 302
    return made


@pytest.mark.parametrize("path", ["/county/", "/due/", "/sites/1", "/files/overdue.csv",
                                  "/files/sites.csv"])  # fmt: skip
def test_every_page_opens_and_keeps_what_is_private(
    pages: dict[Role, FlaskClient], path: str
) -> None:
    office, clerk = (pages[role].get(path) for role in (Role.DISPATCHER, Role.COUNTY))
    assert (office.status_code, clerk.status_code) == (200, 200)
    assert "planted-7731" not in clerk.text


def test_the_day_and_the_gate_sheet_open(pages: dict[Role, FlaskClient]) -> None:
    office = pages[Role.DISPATCHER]
    assert "planted-7731" in office.get("/gate/1/2026-06-15").text
    assert "not ordered yet" in office.get("/day/2026-06-15").text


def test_the_lists_count_alike(pages: dict[Role, FlaskClient]) -> None:
    page = html.fromstring(pages[Role.COUNTY].get("/county/").text)
    assert page.xpath("string(//h1)") == "3 overdue systems"
    assert page.xpath("//main//tbody/tr/th/a/text()") == ["S-1", "S-2", "S-3"]
    due = html.fromstring(pages[Role.COUNTY].get("/due/?within=0").text)
    assert len(due.xpath("//main//tbody/tr")) == 4  # one is due today


def test_tiles_say_the_same_whoever_makes_them(pages: dict[Role, FlaskClient]) -> None:
    def told(zoom: int) -> list[dict[str, object]]:
        path = f"/tiles/systems/{tile_at(zoom, LON + 2 * STEP_DEG, LAT)}.pbf?late=all"
        layer = mapbox_vector_tile.decode(pages[Role.COUNTY].get(path).data)["systems"]
        return [one["properties"] for one in layer["features"]]

    marks = {one["site"]: one for one in told(10)}
    assert set(marks) == {f"S-{number}" for number in range(1, 7)}
    assert marks["S-2"] == {
        "site_id": 2,
        "site": "S-2",
        "kind": "holding tank",
        "task": "inspection",
        "due_on": "2026-05-26",
        "days_overdue": 20,
        "overdue": True,
        "share_passed": pytest.approx(385 / 365),
        "in_hazard_area": True,
        "below_bfe": True,
    }
    assert "in_hazard_area" not in marks["S-3"]
    assert sum(int(str(one["n"])) for one in told(7)) == 6
    assert sum(int(str(one["late"])) for one in told(7)) == 3
