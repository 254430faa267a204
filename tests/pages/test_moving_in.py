"""Moving in: a person places sites, decides rows, and takes an import back, on the pages."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from icalendar import Calendar

from registry.services.import_outcome import ImportRequest
from registry.services.import_places import import_places
from registry.services.import_sites import import_sites
from registry.services.locate_sites import locate_sites
from registry.store import Author
from registry.store.scope import Scope
from registry.store.sites import site_named
from tests.pages.visitors import OWN, Client
from tests.unit.imports import files

if TYPE_CHECKING:
    from registry.records.places import Site
    from registry.wiring import Parts

SITES = "key,parcel,address\nM-1,7-77,1 Invented Lane\nM-2,7-77,2 Invented Lane\n"
ROWS = "key,parcel,address,owner_name\nX-1,7-77,1 Invented Lane,Somebody Else\n"


@pytest.fixture(scope="module", autouse=True)
def moved_in(parts: "Parts", tmp_path_factory: pytest.TempPathFactory) -> None:
    """Two sites of one parcel number that two parcels have, and a row of another source."""
    folder = tmp_path_factory.mktemp("moving")
    features = [files.feature((-140 + i / 100, 45), APN="7-77") for i in range(2)]
    with parts.store.session() as session:
        import_sites(session, asked(parts, files.csv(folder, SITES, "ours.csv")))
        import_places(session, asked(parts, files.geojson(folder, *features, name="parcels.json")))
        locate_sites(session, Scope(), Author("a test", parts.now(), "located"))
    with parts.store.session() as session:
        import_sites(
            session, asked(parts, files.csv(folder, ROWS, "theirs.csv"), source="another list")
        )


def asked(parts: "Parts", path: Path, **fields: str) -> ImportRequest:
    from registry.store.places import firms, jurisdictions

    with parts.store.reading() as session:
        firm, jurisdiction = firms(session)[0].name, jurisdictions(session)[0].name
    return ImportRequest(
        path=path,
        who="a test",
        now=parts.now(),
        folder=path.parent,
        firm=firm,
        jurisdiction=jurisdiction,
        **fields,
    )


def kept(parts: "Parts", key: str) -> "Site":
    with parts.store.reading() as session:
        return site_named(session, key)


def link(client: Client, words: str, start: str) -> str:
    """The address behind a link of the page that begins so and has the words near it."""
    page = client("dispatcher").get("/moving-in/").text
    found = re.search(rf'href="({start}[^"]*)">{words}', page)
    assert found, page
    return found[1]


def test_a_site_with_two_possible_places_is_put_where_a_person_says(
    client: Client, parts: "Parts"
) -> None:
    address = link(client, "M-1", "/moving-in/places/")
    page = client("dispatcher").get(address).text
    places = re.findall(r'name="place" value="([^"]+)"', page)
    assert places == ["-140.0,45.0", "-139.99,45.0", "none"]
    assert "1 other place fits as well" in page
    answer = client("dispatcher").post(address, data={"place": places[1]}, headers=OWN)
    assert answer.status_code == 302
    assert kept(parts, "M-1").lon_lat == (-139.99, 45)
    assert kept(parts, "M-1").position_source == "parcel 7-77, parcels.json"
    told = client("dispatcher").get(f"/sites/{kept(parts, 'M-1').id}").text
    assert "parcel 7-77, parcels.json" in told
    assert client("dispatcher").get(address).status_code == 404
    refused = link(client, "M-2", "/moving-in/places/")
    client("dispatcher").post(refused, data={"place": "none"}, headers=OWN)
    page = client("dispatcher").get("/moving-in/").text
    assert "at none of the places that were offered" in page
    wrong = client("dispatcher").post(refused, data={"place": "nowhere"}, headers=OWN)
    assert "Choose one of the places" in wrong.text


def test_a_row_is_decided_field_by_field_and_its_import_taken_back(
    client: Client, parts: "Parts"
) -> None:
    before = kept(parts, "M-1").owner_name
    address = link(client, "another list X-1", "/moving-in/rows/")
    page = client("dispatcher").get(address).text
    assert "Somebody Else" in page
    site_id = kept(parts, "M-1").id
    form = {"site": site_id, "take": "chosen", "field": "site.owner_name"}
    assert client("dispatcher").post(address, data=form, headers=OWN).status_code == 302
    assert kept(parts, "M-1").owner_name == "Somebody Else"
    page = client("dispatcher").get("/moving-in/").text
    assert "theirs.csv" in page
    run = re.findall(r'href="(/moving-in/imports/\d+)"', page)[0]
    assert "1 field would be as before" in client("dispatcher").get(run).text
    assert client("dispatcher").post(run, headers=OWN).status_code == 302
    assert kept(parts, "M-1").owner_name == before
    assert "taken back already" in client("dispatcher").get(run).text


def test_moving_in_is_for_the_office_of_the_firm_only(client: Client) -> None:
    for role in ("technician", "county"):
        for path in ("/moving-in/", "/moving-in/places/1", "/moving-in/rows/1"):
            assert client(role).get(path).status_code == 403


def test_a_calendar_is_read_at_its_secret_address_by_nobody_else(
    client: Client, parts: "Parts"
) -> None:
    from registry.services.calendar_feed import make_feed
    from registry.services.tokens import revoke_token
    from tests.pages.visitors import DAY

    with parts.store.session() as session:
        number, secret = make_feed(session, "technician", parts.now())
    answer = client("").get(f"/calendar/{secret}.ics")
    assert answer.content_type.startswith("text/calendar")
    assert answer.headers["Cache-Control"] == "no-store"
    events = Calendar.from_ical(answer.data).walk("VEVENT")
    own = client("technician").get(f"/files/day/{DAY}.ics").data
    today = {str(one["uid"]) for one in Calendar.from_ical(own).walk("VEVENT")}
    assert today <= {str(one["uid"]) for one in events}
    assert client("").get("/calendar/guessed.ics").status_code == 404
    assert client("").get("/ogc/", headers={"Authorization": f"Bearer {secret}"}).status_code != 200
    with parts.store.session() as session:
        revoke_token(session, number, parts.now())
    assert client("").get(f"/calendar/{secret}.ics").status_code == 404
