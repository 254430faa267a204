"""Each page for each role, and nothing private where it may not be."""

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select, update

from registry.services.make_demo import county_today
from registry.store.tables import SiteRow

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

DAY = county_today().isoformat()
FIRM, COUNTY, ALL = "dispatcher technician administrator", "county", ""
TABLE = {
    f"/day/{DAY}": ("dispatcher", "technician", "administrator"),
    f"/day/{DAY}/routes.geojson": ("dispatcher", "technician", "administrator"),
    f"/day/{DAY}/progress.json": ("dispatcher", "technician", "administrator"),
    f"/gate/1/{DAY}": ("dispatcher", "technician", "administrator"),
    "/sites/1": ("dispatcher", "technician", "county", "administrator"),
    "/county/": ("dispatcher", "county", "administrator"),
    "/tiles/style.json": ("dispatcher", "technician", "county", "administrator"),
    "/tiles/systems/8/28/91.pbf": ("dispatcher", "county", "administrator"),
    f"/files/day/{DAY}.gpx": ("dispatcher", "technician", "administrator"),
    "/files/overdue.csv": ("dispatcher", "county", "administrator"),
    "/files/sites.csv": ("dispatcher", "county", "administrator"),
}
ROLES = ("dispatcher", "technician", "county", "administrator")
PLANTED = "planted-7731"


@pytest.fixture(scope="module", autouse=True)
def planted(app: "Flask") -> None:
    """Plant a word in every private field of every site."""
    from web.context import PARTS

    private = ("gate_code", "gate_note", "access_note", "private_note", "note", "owner_name",
               "owner_phone", "owner_email", "owner_address")  # fmt: skip
    with app.extensions[PARTS].store.session() as session:
        session.execute(
            update(SiteRow).values(
                dict.fromkeys(private, PLANTED) | {"hazards": [{"kind": PLANTED, "note": PLANTED}]}
            )
        )


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("path", TABLE)
def test_a_page_opens_for_the_roles_of_the_table_only(
    client: "Callable[[str], FlaskClient]", path: str, role: str
) -> None:
    status = client(role).get(path).status_code
    assert status in ({200, 204} if role in TABLE[path] else {403})


@pytest.mark.parametrize("path", TABLE)
def test_nobody_is_asked_to_sign_in(client: "Callable[[str], FlaskClient]", path: str) -> None:
    answer = client("").get(path)
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/sign-in")


COUNTY_SEES = [
    *(path for path, roles in TABLE.items() if "county" in roles),
    "/county/?late=all",
    *(f"/tiles/systems/{tile}.pbf?late=all" for tile in ("9/56/183", "10/113/367", "12/455/1471")),
    *(f"/files/overdue.{ending}" for ending in ("csv", "geojson", "gpkg", "gpx", "html")),
    *(f"/files/sites.{ending}" for ending in ("csv", "geojson", "gpkg")),
    "/sites/0",
    "/sites/999999",
    "/county/?late=nonsense",
]


@pytest.mark.parametrize("path", COUNTY_SEES)
def test_no_private_word_reaches_county_staff(
    client: "Callable[[str], FlaskClient]", path: str
) -> None:
    assert PLANTED.encode() not in client("county").get(path).data


def test_the_technician_reads_what_is_private_at_the_gate(
    client: "Callable[[str], FlaskClient]",
) -> None:
    assert PLANTED in client("technician").get(f"/gate/1/{DAY}").text


def test_every_site_file_opens_for_county_staff_without_a_private_word(
    app: "Flask", client: "Callable[[str], FlaskClient]"
) -> None:
    from web.context import PARTS

    with app.extensions[PARTS].store.reading() as session:
        ids = list(session.scalars(select(SiteRow.id).where(SiteRow.id % 12 == 0)))
    for site_id in ids:
        answer = client("county").get(f"/sites/{site_id}")
        assert answer.status_code == 200
        assert PLANTED not in answer.text


def test_a_site_that_is_not_there_and_one_of_others_are_answered_alike(
    client: "Callable[[str], FlaskClient]",
) -> None:
    assert client("dispatcher").get("/sites/999999").status_code == 404


@pytest.mark.parametrize("path", ["/county/", f"/day/{DAY}", "/sites/1", f"/gate/1/{DAY}"])
def test_a_page_holds_no_inline_script_or_style_and_nothing_from_another_host(
    client: "Callable[[str], FlaskClient]", path: str
) -> None:
    text = client("administrator").get(path).text
    assert not re.findall(r"<script(?![^>]*\bsrc=)[^>]*>", text)
    assert not re.findall(r"\s(?:style|on[a-z]+)=\"", text)
    assert "<style" not in text
    assert not re.findall(r"(?:src|href)=\"(?:https?:)?//", text)
