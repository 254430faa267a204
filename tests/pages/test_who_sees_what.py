"""Each page for each role, and nothing private where it may not be."""

from datetime import date
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select, update

from registry.privacy import HIDDEN
from registry.records.changes import Role
from registry.records.places import Hazard, Site
from registry.records.visits import Reading, VisitRecord
from registry.store import sites, visits
from registry.store.tables import (
    AgreementRow,
    ObligationRow,
    SiteRow,
    SystemRow,
    WindowExceptionRow,
)
from tests.pages.visitors import DAY, ROLES, Client, tile_at

if TYPE_CHECKING:
    from registry.wiring import Parts

FIRM = ("dispatcher", "technician", "administrator")
OFFICE = ("dispatcher", "administrator")
NOT_TECHNICIAN = ("dispatcher", "county", "administrator")
TABLE = {
    f"/day/{DAY}": FIRM,
    f"/day/{DAY}/routes.geojson": FIRM,
    f"/day/{DAY}/progress.json": FIRM,
    f"/day/{DAY}/hand.json": OFFICE,
    f"/day/{DAY}/own-route.json": FIRM,
    f"/day/{DAY}/running.json": OFFICE,
    f"/day/{DAY}/closed.geojson": FIRM,
    f"/day/{DAY}/version/1": OFFICE,
    f"/day/{DAY}/what-if": OFFICE,
    f"/gate/1/{DAY}": FIRM,
    "/sites/1/conflicts": OFFICE,
    "/sites/1/edit/site/1": ROLES,
    "/sites/pairs": OFFICE,
    "/sites/1/add/agreement/1": OFFICE,
    "/sites/1/merge/2": OFFICE,
    "/sites/1/sale": OFFICE,
    f"/gate/1/{DAY}/record": FIRM,
    "/hydraulics/": FIRM,
    "/carry/day.json": ("technician",),
    "/phones/": OFFICE,
    "/moving-in/": OFFICE,
    "/sign-ins/": ("administrator",),
    "/own/": ROLES,
    "/reads/": ("administrator",),
    "/sites/1": ROLES,
    "/due/": NOT_TECHNICIAN,
    "/reports/": NOT_TECHNICIAN,
    "/reports/firms/": ("county", "administrator"),
    "/deadlines/": NOT_TECHNICIAN,
    "/deadlines/deadlines.ics": NOT_TECHNICIAN,
    "/high-water/": ROLES,
    "/high-water/?stage=18": ROLES,
    "/high-water/places.json": ROLES,
    "/numbers/": NOT_TECHNICIAN,
    "/numbers/2025": NOT_TECHNICIAN,
    "/numbers/2025.csv": NOT_TECHNICIAN,
    "/letters/": NOT_TECHNICIAN,
    "/due/?within=3650": NOT_TECHNICIAN,
    "/county/": NOT_TECHNICIAN,
    "/county/sites/1": NOT_TECHNICIAN,
    "/tiles/style.json": ROLES,
    f"/tiles/base/any/{tile_at(11)}.pbf": ROLES,
    f"/tiles/systems/{tile_at(10)}.pbf": NOT_TECHNICIAN,
    f"/files/day/{DAY}.gpx": FIRM,
    "/files/overdue.csv": NOT_TECHNICIAN,
    "/files/sites.csv": NOT_TECHNICIAN,
}
"""Address → the roles that it opens for."""
PLANTED = "planted-7731"
SITE = 1
HIDDEN_TEXTS = ("gate_code", "gate_note", "access_note", "private_note", "note", "owner_name",
                "owner_phone", "owner_email", "owner_address")  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def planted(parts: "Parts") -> None:
    """Plant a word in every private field of every site, and in what hangs on one of them."""
    with parts.store.session() as session:
        hazards = [{"kind": PLANTED, "note": PLANTED}]
        session.execute(
            update(SiteRow).values(dict.fromkeys(HIDDEN_TEXTS, PLANTED) | {"hazards": hazards})
        )
        session.execute(update(AgreementRow).values(includes=[PLANTED], renewal=PLANTED))
        session.execute(update(ObligationRow).values(reason=PLANTED))
        session.add(WindowExceptionRow(site_id=SITE, on_date=date.fromisoformat(DAY), note=PLANTED))
        fields = dict.fromkeys(HIDDEN_TEXTS, f"{PLANTED} again") | {
            "hazards": (Hazard(PLANTED, "again"),)
        }
        sites.change_site(session, who="a test", now=parts.now(), site_id=SITE, fields=fields)
        visits.add_visits(session, [_visit(session.scalar(select(SystemRow.id)) or 0, parts)])


def _visit(system_id: int, parts: "Parts") -> VisitRecord:
    noted = Reading(
        id="noted",
        visit_id="noted",
        site_id=SITE,
        system_id=system_id,
        kind="scum",
        value=3.0,
        unit="in",
        read_on=date(2026, 6, 1),
        note=PLANTED,
    )
    return VisitRecord(
        id="noted",
        site_id=SITE,
        on_date=date(2026, 6, 1),
        recorded_at=parts.now(),
        note=PLANTED,
        readings=(noted,),
    )


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("path", TABLE)
def test_a_page_opens_for_the_roles_of_the_table_only(client: Client, path: str, role: str) -> None:
    answer = client(role).get(path)
    assert answer.status_code == (200 if role in TABLE[path] else 403)
    if answer.status_code == 403:
        assert "Not for this sign-in" in answer.text


@pytest.mark.parametrize("path", [*TABLE, "/"])
def test_nobody_is_asked_to_sign_in(client: Client, path: str) -> None:
    answer = client("").get(path)
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/sign-in")


@pytest.mark.parametrize(
    ("role", "first"),
    [
        ("dispatcher", "/day/"),
        ("technician", "/day/"),
        ("county", "/county/"),
        ("administrator", "/day/"),
    ],
)
def test_a_role_starts_on_the_page_it_comes_for(client: Client, role: str, first: str) -> None:
    assert client(role).get("/").headers["Location"] == first


COUNTY_SEES = [
    *(path for path, roles in TABLE.items() if "county" in roles),
    "/county/?late=all",
    *(f"/tiles/systems/{tile_at(zoom)}.pbf?late=all" for zoom in (7, 9, 10, 11, 12)),
    *(f"/files/overdue.{ending}" for ending in ("csv", "geojson", "gpkg", "gpx", "html")),
    *(f"/files/sites.{ending}" for ending in ("csv", "geojson", "gpkg")),
    "/sites/0",
    "/sites/999999",
    "/county/?late=nonsense",
    f"/gate/{SITE}/{DAY}",
    f"/day/{DAY}",
]


@pytest.mark.parametrize("path", COUNTY_SEES)
def test_no_private_word_reaches_county_staff(client: Client, path: str) -> None:
    assert PLANTED.encode() not in client("county").get(path).data


def test_the_word_is_where_it_was_planted(client: Client) -> None:
    """Else the tests above could not fail."""
    assert client("dispatcher").get(f"/sites/{SITE}").text.count(PLANTED) > 20
    assert PLANTED in client("technician").get(f"/gate/{SITE}/{DAY}").text
    assert PLANTED in client("dispatcher").get("/due/").text
    assert PLANTED in client("dispatcher").get("/files/sites.csv").text


def test_every_field_that_is_hidden_from_the_county_was_planted_or_is_no_text() -> None:
    texts = {
        name for name in HIDDEN[Site][Role.COUNTY] if Site.__dataclass_fields__[name].type is str
    }
    assert texts <= {*HIDDEN_TEXTS, "season_from", "season_to"}


def test_every_site_file_opens_for_county_staff_without_a_private_word(
    parts: "Parts", client: Client
) -> None:
    with parts.store.reading() as session:
        ids = list(session.scalars(select(SiteRow.id).where(SiteRow.id % 12 == 0)))
    for site_id in ids:
        answer = client("county").get(f"/sites/{site_id}")
        assert answer.status_code == 200
        assert PLANTED not in answer.text


def test_the_countys_files_have_no_private_column(client: Client) -> None:
    heads = client("county").get("/files/sites.csv").text.splitlines()[0].split(",")
    assert not set(heads) & HIDDEN[Site][Role.COUNTY]
    assert set(HIDDEN_TEXTS) <= set(
        client("dispatcher").get("/files/sites.csv").text.splitlines()[0].split(",")
    )


def test_the_pages_that_lead_on_are_those_that_the_role_may_open(client: Client) -> None:
    for role, shown in (("county", ["/due/", "/county/"]), ("technician", ["/day/"])):
        text = client(role).get("/sites/2").text
        nav = text[text.index("<nav") : text.index("</nav>")]
        assert [path for path in ("/day/", "/due/", "/county/") if f'"{path}"' in nav] == shown


@pytest.mark.parametrize("path", [f"/day/{DAY}", "/county/", "/due/"])
def test_the_page_that_is_open_is_marked_among_those_that_lead_on(
    client: Client, path: str
) -> None:
    text = client("dispatcher").get(path).text
    nav = text[text.index("<nav") : text.index("</nav>")]
    assert nav.count("aria-current") == 1
    assert f'href="/{path.split("/")[1]}/" aria-current="page"' in nav
