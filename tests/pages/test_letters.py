"""Letters to owners of overdue systems: each sender writes what it may see, noted on the file."""

import csv
import io
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import func, select, update

from registry.errors import RangeError
from registry.records.changes import Role, Viewer
from registry.report.letter_text import FIELDS, OWN_TEXT, checked, merged
from registry.services.letters import overdue_sites
from registry.services.make_demo import county_today
from registry.store.tables import JurisdictionRow, LetterRow, SiteRow
from tests.pages.visitors import OWN, Client

if TYPE_CHECKING:
    from registry.wiring import Parts

PLANTED = "planted-7731"
OFFICE = Viewer(name="dispatcher", role=Role.DISPATCHER, firm_id=1)


@pytest.fixture(scope="module", autouse=True)
def planted(parts: "Parts") -> None:
    """Plant a word in what the county may not see of owners; one begins like a formula."""
    with parts.store.session() as session:
        session.execute(update(SiteRow).values(owner_name=f"={PLANTED}", owner_address=PLANTED))


@pytest.fixture(scope="module")
def sites(parts: "Parts") -> list[int]:
    """The worst sites of the firm."""
    with parts.store.reading() as session:
        return [one.site_id for one in overdue_sites(session, OFFICE, county_today())][:3]


def write(client: Client, role: str, sites: list[int]) -> str:
    """Write letters and return the address of the batch."""
    answer = client(role).post("/letters/write", data={"site": sites}, headers=OWN)
    assert answer.status_code == 302, answer.text
    return str(answer.headers["Location"])


def test_a_letter_names_owner_and_what_is_overdue_and_is_noted_on_the_file(
    client: Client, sites: list[int]
) -> None:
    where = write(client, "dispatcher", sites)
    page = client("dispatcher").get(where).text
    assert page.count('class="letter"') == len(sites)
    assert PLANTED in page
    assert "days ago" in page
    for site_id in sites:
        assert "Letters to the owner" in client("dispatcher").get(f"/sites/{site_id}").text


def test_letters_are_a_table_that_no_spreadsheet_runs(client: Client, sites: list[int]) -> None:
    where = write(client, "dispatcher", sites)
    text = client("dispatcher").get(f"{where}.csv").text
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == len(sites)
    assert {one["to_name"] for one in rows} == {f"'={PLANTED}"}


def test_the_county_writes_without_what_it_may_not_see_and_reads_its_own_letters_only(
    client: Client, sites: list[int]
) -> None:
    firms = write(client, "dispatcher", sites)
    assert client("county").get(firms).status_code == 404
    assert client("county").get(f"{firms}.csv").status_code == 404
    where = write(client, "county", sites)
    for path in (where, f"{where}.csv", "/letters/", *(f"/sites/{one}" for one in sites)):
        said = client("county").get(path).text
        assert PLANTED not in said
    assert "The owner" in client("county").get(where).text
    assert client("dispatcher").get(where).status_code == 404


def test_a_technician_writes_no_letters(client: Client, sites: list[int]) -> None:
    assert client("technician").get("/letters/").status_code == 403
    for path in ("/letters/write", "/letters/text"):
        assert client("technician").post(path, data={"site": sites}, headers=OWN).status_code == 403


def test_a_letter_goes_only_to_a_site_that_is_the_senders_and_overdue(
    client: Client, parts: "Parts"
) -> None:
    with parts.store.reading() as session:
        before = session.scalar(select(func.count()).select_from(LetterRow))
        late = {one.site_id for one in overdue_sites(session, OFFICE, county_today())}
        calm = next(one for one in session.scalars(select(SiteRow.id)) if one not in late)
    for chosen in ([calm], [999999], ["x"], []):
        answer = client("dispatcher").post("/letters/write", data={"site": chosen}, headers=OWN)
        assert answer.status_code == 422
    with parts.store.reading() as session:
        assert session.scalar(select(func.count()).select_from(LetterRow)) == before


def test_each_sender_has_a_text_of_its_own(client: Client, sites: list[int]) -> None:
    own = "Dear {owner}, {overdue} <b>{sender}</b>"
    answer = client("county").post("/letters/text", data={"text": own}, headers=OWN)
    assert answer.status_code == 302
    assert "Dear {owner}" in client("county").get("/letters/").text
    assert "Dear {owner}" not in client("dispatcher").get("/letters/").text
    page = client("county").get(write(client, "county", sites)).text
    assert "Dear The owner" in page
    assert "&lt;b&gt;" in page


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "1 to 5,000"),
        ("x" * 5001, "1 to 5,000"),
        ("Dear {name}", "no field {name}"),
        ("Dear {owner", "stands alone"),
        ("Dear {{owner}}", "stands alone"),
        ("Dear {}", "stands alone"),
    ],
)
def test_a_text_with_a_field_that_is_not_known_is_refused(text: str, said: str) -> None:
    with pytest.raises(RangeError) as wrong:
        checked(text)
    assert said in str(wrong.value)


def test_what_a_field_brings_is_not_taken_for_a_field() -> None:
    assert merged("{owner} {site}", {"owner": "{site}", "site": "7"}) == "{site} 7"
    assert merged(checked(OWN_TEXT), dict.fromkeys(FIELDS, "x")).count("{") == 0


def test_the_list_holds_what_is_past_its_grace_the_worst_first(parts: "Parts") -> None:
    with parts.store.reading() as session:
        found = overdue_sites(session, OFFICE, county_today(), 90)
        assert session.scalar(select(func.count()).select_from(JurisdictionRow))
    days = [one.days_overdue for one in found]
    assert days == sorted(days, reverse=True)
    assert min(days) >= 90
    rows = [row for one in found for row in one.rows]
    assert all(row.days_overdue > row.grace_days and not row.estimated for row in rows)
