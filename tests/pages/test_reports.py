"""Reports owed: their page, the Day page, the report, the site file; for each role its part."""

from collections.abc import Iterator
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from lxml import html

from registry.services.make_demo import county_today
from registry.store import places, sites
from tests.pages.test_recording_a_visit import FINDING, FIRST, form_of, sent, site_ids, whole
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from registry.records.places import Jurisdiction
    from registry.wiring import Parts

__all__ = ["site_ids"]
PLANTED = "planted-7731"
ACTS = {
    f"/reports/visits/{FIRST}/sent": {"to": "authority", "how": "post", "note": PLANTED},
    f"/reports/visits/{FIRST}/take-back": {"to": "authority"},
    f"/reports/findings/{FINDING}/mended": {"note": PLANTED},
    f"/reports/findings/{FINDING}/take-back": {},
}
"""Address → fields of its form."""


@pytest.fixture(scope="module", autouse=True)
def visited(client: Client, site_ids: list[int]) -> int:
    """Return a site that was visited today and at which a lid was found broken."""
    hands = client("technician")
    lid = {"id": FINDING, "kind": "open or broken lid", "note": "cracked", "owner_told": "yes"}
    record = whole(form_of(hands, site_ids[0]), findings=[lid])
    assert [one["status"] for one in sent(hands, record)] == ["kept"]
    return site_ids[0]


@pytest.fixture
def noted(client: Client) -> Iterator[None]:
    """Note that the report went out and the lid is mended; taken back at the end."""
    first, back, second, undone = ACTS
    for path in (first, second):
        post(client, path)
    yield
    for path in (back, undone):
        post(client, path)


@pytest.fixture
def place(parts: "Parts", visited: int) -> "Jurisdiction":
    """Return the authority of the site."""
    with parts.store.reading() as session:
        return places.jurisdiction(session, sites.sites(session, [visited])[0].jurisdiction_id)


def post(client: Client, path: str, role: str = "dispatcher", **more: str) -> Any:
    """Send one of the forms."""
    return client(role).post(path, data=ACTS[path] | more, headers=OWN)


def read(client: Client, role: str, path: str, part: str = "//main") -> str:
    """Return the words of a page, or of one part of it."""
    page: Any = html.fromstring(client(role).get(path).text)
    found = page.xpath(part)
    return " ".join(found[0].text_content().split()) if found else ""


def test_a_visit_of_today_is_owed_by_the_days_entered_for_its_authority(
    client: Client, place: "Jurisdiction"
) -> None:
    assert place.report_days is not None
    due = county_today() + timedelta(days=place.report_days)
    said = read(client, "dispatcher", "/reports/")
    assert f"due in {place.report_days} days" in said
    assert f"report by {due.day} " in said
    assert f"{place.report_days} days, as entered for {place.name}" in said
    assert "no date on file: see the agreement" in said
    assert "open or broken lid" in said


def test_what_was_sent_is_owed_no_more_and_can_be_taken_back(client: Client, noted: None) -> None:
    said = read(client, "dispatcher", f"/visits/{FIRST}/report", "//*[@id='sent']")
    assert f"post. {PLANTED}; noted by dispatcher" in said
    assert "Mended on" in read(client, "dispatcher", f"/visits/{FIRST}/report")
    assert ", as entered for" not in read(client, "dispatcher", "/reports/")
    again = post(client, f"/reports/visits/{FIRST}/sent")
    assert again.status_code == 409
    assert "It is noted already" in again.text


def test_a_note_that_is_taken_back_leaves_the_report_owed(client: Client, noted: None) -> None:
    path = f"/reports/visits/{FIRST}/take-back"
    answer = post(client, path)
    assert answer.headers["Location"].endswith(f"/visits/{FIRST}/report#sent")
    assert ", as entered for" in read(client, "dispatcher", "/reports/")
    post(client, f"/reports/visits/{FIRST}/sent", page="list")


@pytest.mark.parametrize("role", ["technician", "county"])
@pytest.mark.parametrize("path", ACTS)
def test_only_the_office_notes_what_was_sent_or_mended(
    client: Client, path: str, role: str
) -> None:
    assert post(client, path, role).status_code == 403


def test_the_authority_sees_what_it_got_without_the_firms_words(
    client: Client, visited: int, noted: None
) -> None:
    for path in ("/reports/", f"/sites/{visited}", f"/visits/{FIRST}/report"):
        said = client("county").get(path).text
        assert PLANTED not in said
        assert "noted by" not in said
    assert "authority: sent on" in read(client, "county", f"/sites/{visited}")
    assert PLANTED in client("dispatcher").get(f"/visits/{FIRST}/report").text


def test_the_authority_sees_what_it_misses(client: Client, visited: int) -> None:
    assert "authority: owed; report by" in read(client, "county", f"/sites/{visited}")
    said = read(client, "county", "/reports/")
    assert ", as entered for" in said
    assert "the owner" not in said


def test_the_day_page_tells_what_is_owed_tonight_and_leads_to_the_rest(
    client: Client, place: "Jurisdiction"
) -> None:
    said = read(client, "dispatcher", f"/day/{DAY}", "//*[@id='morning']")
    assert "no report is owed tonight" in said
    assert "All reports owed (2)" in said
    later = county_today() + timedelta(days=(place.report_days or 0) + 1)
    said = read(client, "dispatcher", f"/day/{later}", "//*[@id='morning']")
    assert "1 report owed tonight" in said
    assert "1 day overdue" in said
    assert "Findings past their date" in said
    assert "Reports still owed" not in read(client, "technician", f"/day/{later}")


@pytest.mark.parametrize(
    ("path", "more", "status"),
    [
        (f"/reports/visits/{FIRST}/sent", {"how": "pigeon"}, 422),
        (f"/reports/visits/{FIRST}/sent", {"to": "press"}, 422),
        (f"/reports/visits/{FIRST}/sent", {"on": "2199-01-01"}, 422),
        (f"/reports/visits/{FIRST}/sent", {"on": "yesterday"}, 422),
        (f"/reports/findings/{FINDING}/mended", {"on": "2199-01-01"}, 422),
        (f"/reports/visits/{FIRST}/take-back", {}, 404),
        (f"/reports/findings/{FINDING}/take-back", {}, 404),
    ],
)
def test_a_note_that_makes_no_sense_is_refused(
    client: Client, path: str, more: dict[str, str], status: int
) -> None:
    assert post(client, path, **more).status_code == status


def test_a_printed_report_has_no_form_and_no_word_of_the_firm(client: Client, noted: None) -> None:
    page: Any = html.fromstring(client("dispatcher").get(f"/visits/{FIRST}/report").text)
    for one in page.xpath("//*[contains(@class, 'no-print')]"):
        one.drop_tree()
    said = page.xpath("//main")[0].text_content()
    assert PLANTED not in said
    assert "sent on" in said.lower()
    assert not page.xpath("//main//form")
