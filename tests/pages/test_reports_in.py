"""The page From firms: a file and a form of reports, by role, taken in and back."""

import re
from io import BytesIO
from typing import TYPE_CHECKING, Any

import pytest
from icalendar import Calendar
from lxml import html

from registry.services.calendar_feed import make_feed
from registry.services.make_demo import county_folder
from tests.pages.visitors import OWN, Client

if TYPE_CHECKING:
    from registry.wiring import Parts

PAGE = "/reports/firms/"
FILE = (county_folder() / "reports.csv").read_bytes()


@pytest.fixture(scope="module")
def sent(client: Client) -> Any:
    """The answer to the county's file of reports."""
    return send(client, "county", FILE)


def send(client: Client, role: str, body: bytes, name: str = "june.csv") -> Any:
    """Send a file to the page."""
    data = {"file": (BytesIO(body), name)}
    return client(role).post(f"{PAGE}file", data=data, headers=OWN)


def words(text: str, part: str = "//main") -> str:
    """Return the words of a page, or of one part of it."""
    page: Any = html.fromstring(text)
    return " ".join(" ".join(page.xpath(part)[0].itertext()).split())


def test_rows_that_are_not_taken_are_named_on_the_page_and_the_others_came_in(
    client: Client, sent: Any
) -> None:
    assert sent.status_code == 422
    said = words(sent.text, "//*[@aria-labelledby='rejected-title']")
    assert "5 rows not taken in" in said
    assert "13 licence licence M-9002 was not valid on 2026-05-25: it ended on 2026-03-31" in said
    assert "there is no such system in the jurisdiction: WC-00-0000" in said
    firms = words(client("county").get(PAGE).text, "//*[@aria-labelledby='firms-title']")
    assert "Reedmace Tank Works 5 0 0 0 none" in firms
    assert "8 Jun 2026 , 7 days late" in firms  # 30 days, as entered for the county


def test_the_same_file_again_changes_nothing(client: Client, sent: Any) -> None:
    assert "0 taken in, 7 known before, 5 not taken" in send(client, "county", FILE).text


def test_a_finding_of_a_report_waits_with_those_of_the_gate(client: Client, sent: Any) -> None:
    said = words(client("county").get("/reports/").text)
    assert "broken or missing baffle" in said


def test_a_report_typed_in_says_all_that_is_wrong_and_keeps_what_was_typed(
    client: Client, sent: Any
) -> None:
    typed = {"site": "W-1001", "date": "2026-06-08", "licence": "M-1", "read.scum": "70"}
    answer = client("county").post(f"{PAGE}form", data=typed, headers=OWN)
    assert answer.status_code == 422
    said = words(answer.text, "//*[@role='alert']")
    assert "licence: no licence M-1" in said
    assert "tasks: it is empty" in said
    assert "scum: 70 cannot be" in said
    assert 'value="W-1001"' in answer.text
    good = typed | {"licence": "M-9001", "tasks": "inspection", "read.scum": ""}
    assert client("county").post(f"{PAGE}form", data=good, headers=OWN).status_code == 302
    file = words(client("dispatcher").get("/sites/1").text, "//*[@aria-labelledby='visits-title']")
    assert "8 Jun 2026 Bettina Turnipworthy System inspection in order" in file


def test_a_report_is_taken_back_by_its_authority_alone(client: Client, sent: Any) -> None:
    page = client("county").get(PAGE).text
    paths = re.findall(r'action="(/reports/firms/[0-9a-f-]{36}/take-back)"', page)
    assert client("dispatcher").post(paths[0], headers=OWN).status_code == 403
    assert client("county").post(paths[0], data={"why": "wrong"}, headers=OWN).status_code == 302
    assert client("county").post(paths[0], headers=OWN).status_code == 409
    whole = re.findall(r'action="(/reports/firms/files/\d+/take-back)"', page)[-1]
    assert client("county").post(whole, headers=OWN).status_code == 302
    assert "taken back" in words(
        client("county").get(PAGE).text, "//*[@aria-labelledby='came-title']"
    )


@pytest.mark.parametrize(
    ("body", "name", "said"),
    [
        (b"", "june.csv", "is empty"),
        (b"PK\x03\x04 no table", "june.csv", "is no text"),
        (b"a,b\n1,2\n", "june.csv", "no column for date, licence, tasks"),
        (FILE, "june.exe", "Choose a table saved as CSV"),
    ],
)
def test_a_file_that_is_no_table_of_reports_is_refused_in_words(
    client: Client, body: bytes, name: str, said: str
) -> None:
    answer = send(client, "county", body, name)
    assert 400 <= answer.status_code < 500
    assert said in answer.text


def test_the_demo_has_a_list_of_licences(client: Client, parts: "Parts") -> None:
    said = words(client("county").get(PAGE).text, "//*[@aria-labelledby='licences-title']")
    assert "M-9002 maintenance Reedmace Tank Works Silas Buttonfoot" in said
    assert "not valid today" in said


def test_an_authority_subscribes_to_its_deadlines_at_a_secret_address(
    client: Client, parts: "Parts"
) -> None:
    with parts.store.session() as session:
        _, secret = make_feed(session, "county", parts.now())
    answer = client("").get(f"/calendar/{secret}.ics")
    own = client("county").get("/deadlines/deadlines.ics")
    told = [
        {str(one["uid"]) for one in Calendar.from_ical(each.data).walk("VEVENT")}
        for each in (answer, own)
    ]
    assert told[0] == told[1] != set()
    page = words(client("county").get("/deadlines/?kind=agreement").text)
    assert "agreement ended, none follows" in page
    assert client("county").get("/deadlines/?ahead=9999").status_code == 422
    assert client("county").get("/deadlines/deadlines.exe").status_code == 404
