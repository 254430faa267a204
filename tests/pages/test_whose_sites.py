"""A firm sees its own sites, a county its jurisdictions, a technician the own route."""

import json
import re
from typing import TYPE_CHECKING

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select, update

from registry.records.changes import Role, Viewer
from registry.services.users import add_user, block_user
from registry.store import Session, days, names
from registry.store.tables import (
    FirmRow,
    JurisdictionRow,
    ObligationRow,
    RouteRow,
    SiteRow,
    SystemDueRow,
)
from tests.pages.visitors import DAY, OWN, Client, sign_in, tile_at

if TYPE_CHECKING:
    from flask import Flask

    from registry.wiring import Parts

SECRET = "a password for tests"  # noqa: S105
THEIRS = 2
"""A site that goes to another firm in another jurisdiction."""


@pytest.fixture(scope="module", autouse=True)
def others(parts: "Parts") -> None:
    """Give a site to another firm and a jurisdiction of its own, each with a sign-in."""
    with parts.store.session() as session:
        firm, place = FirmRow(name="Other Firm"), JurisdictionRow(name="Other County")
        session.add_all([firm, place])
        session.flush()
        for kind in (SiteRow, ObligationRow, SystemDueRow):
            of = SiteRow.id if kind is SiteRow else kind.site_id
            session.execute(
                update(kind).where(of == THEIRS).values(firm_id=firm.id, jurisdiction_id=place.id)
            )
        _add(session, parts, Viewer(name="others", role=Role.DISPATCHER, firm_id=firm.id))
        _add(session, parts, Viewer(name="clerk", role=Role.COUNTY, jurisdiction_ids=(place.id,)))
        _add(session, parts, Viewer(name="nowhere", role=Role.COUNTY))


def _add(session: Session, parts: "Parts", viewer: Viewer) -> None:
    add_user(session, viewer, SECRET, parts.now())


@pytest.fixture(scope="module")
def visitor(app: "Flask") -> dict[str, FlaskClient]:
    """The clients of the added sign-ins."""
    made = {name: app.test_client() for name in ("others", "clerk", "nowhere")}
    for name, one in made.items():
        assert sign_in(one, name, SECRET).status_code == 302
    return made


@pytest.mark.parametrize("path", ["/sites/{}", "/gate/{}/" + DAY], ids=["site file", "gate sheet"])
def test_anothers_site_is_answered_like_one_that_is_not_there(client: Client, path: str) -> None:
    answers = [
        client("dispatcher").get(path.format(site_id))
        for site_id in (THEIRS, 999_999, 0, 2**63 - 1, 2**80)
    ]
    assert {one.status_code for one in answers} == {404}
    assert len({re.sub(r'nonce="[^"]*"', "", one.text) for one in answers}) == 1


def test_a_firm_sees_its_site_and_the_county_only_its_jurisdiction(
    client: Client, visitor: dict[str, FlaskClient]
) -> None:
    assert visitor["others"].get(f"/sites/{THEIRS}").status_code == 200
    assert visitor["others"].get("/sites/1").status_code == 404
    assert visitor["clerk"].get(f"/sites/{THEIRS}").status_code == 200
    assert visitor["clerk"].get("/sites/1").status_code == 404
    assert client("county").get(f"/sites/{THEIRS}").status_code == 404


def test_lists_files_and_tiles_hold_only_what_the_viewer_sees(
    client: Client, visitor: dict[str, FlaskClient]
) -> None:
    def rows(one: FlaskClient, path: str) -> int:
        return len(one.get(path).text.splitlines()) - 1

    assert rows(visitor["others"], "/files/sites.csv") == rows(visitor["clerk"], "/files/sites.csv")
    assert rows(visitor["others"], "/files/sites.csv") == 1
    assert rows(client("dispatcher"), "/files/sites.csv") > 200
    assert rows(visitor["nowhere"], "/files/sites.csv") == 0
    for one, status in ((visitor["nowhere"], 204), (client("county"), 200)):
        assert one.get(f"/tiles/systems/{tile_at(8)}.pbf?late=all").status_code == status
    assert "Nothing is overdue here" in visitor["nowhere"].get("/county/").text
    assert "Nothing is due" in visitor["nowhere"].get("/due/").text


def test_a_county_that_states_no_box_is_shown_where_its_sites_are(
    client: Client, visitor: dict[str, FlaskClient]
) -> None:
    def box(one: FlaskClient) -> list[float]:
        said = re.search(r'data-box="([^"]+)"', one.get("/county/").text)
        return json.loads(said[1]) if said else []

    west, south, east, north = box(visitor["clerk"])
    assert (west, south) == (east, north)  # its only site
    wide = box(client("county"))
    assert wide[0] < west < wide[2]
    assert wide[1] < south < wide[3]
    assert box(visitor["nowhere"]) == []


def test_nobody_holds_a_visit_at_anothers_site(
    parts: "Parts", client: Client, visitor: dict[str, FlaskClient]
) -> None:
    for one, site_id in ((client("dispatcher"), THEIRS), (visitor["others"], 1)):
        answer = one.post(f"/day/{DAY}/hold", data={"site_id": site_id}, headers=OWN)
        assert answer.status_code == 404
    form = {"site_id": THEIRS, "technician_id": 1}
    assert visitor["others"].post(f"/day/{DAY}/hold", data=form, headers=OWN).status_code == 404
    with parts.store.reading() as session:
        assert all(
            not days.holds_on(session, firm_id, parts.today())
            for firm_id in names.firm_ids(session).values()
        )


def test_another_firm_has_a_day_of_its_own(visitor: dict[str, FlaskClient]) -> None:
    assert "This date is not ordered yet" in visitor["others"].get(f"/day/{DAY}").text


def test_a_technician_sees_the_own_route_only(parts: "Parts", client: Client) -> None:
    with parts.store.reading() as session:
        routes = session.scalars(select(RouteRow.body)).all()
        own = min(names.technician_ids(session, 1))
    assert len(routes) > 1
    text = client("technician").get(f"/day/{DAY}").text
    drawn = client("technician").get(f"/day/{DAY}/routes.geojson").json["features"]
    assert {one["properties"]["who"] for one in drawn if one["properties"]["kind"] == "route"} == {
        own
    }
    for body in routes:
        assert (f">{body['technician']}<" in text) == (body["technician"] == own)
        for stop in body["stops"]:
            if stop["kind"] == "visit":
                gate = client("technician").get(f"/gate/{stop['site_id']}/{DAY}").text
                assert (body["technician"] in gate) == (body["technician"] == own)


def test_the_files_of_another_technician_are_not_a_technicians(
    parts: "Parts", client: Client
) -> None:
    with parts.store.reading() as session:
        known = names.technician_ids(session, 1)
    own = known.pop(min(known))
    answer = client("technician").get(f"/files/day/{DAY}.ics?technician={own}")
    assert answer.status_code == 200
    for other in known.values():
        assert (
            client("technician").get(f"/files/day/{DAY}.ics?technician={other}").status_code == 404
        )


def test_a_blocked_sign_in_is_out_at_its_next_request(
    parts: "Parts", visitor: dict[str, FlaskClient]
) -> None:
    assert visitor["nowhere"].get("/county/").status_code == 200
    with parts.store.session() as session:
        block_user(session, "nowhere", "a test", parts.now())
    assert visitor["nowhere"].get("/county/").status_code == 302
