"""Lists: every row once, oldest first, over all pages; filters kept in the address."""

import re
from html import unescape

from lxml import html

from tests.pages.visitors import Client


def pages_of(client: Client, role: str, start: str) -> list[html.HtmlElement]:
    """Every page from a first one on, by the links to the next."""
    found, address = [], start
    while address:
        answer = client(role).get(address)
        assert answer.status_code == 200
        page = html.fromstring(answer.text)
        found.append(page)
        address = next(iter(page.xpath("//a[@rel='next']/@href")), "")
        assert len(found) < 60
    return found


def rows_of(pages: list[html.HtmlElement]) -> list[html.HtmlElement]:
    return [row for page in pages for row in page.xpath("//main//table/tbody/tr")]


def systems_of(pages: list[html.HtmlElement]) -> list[html.HtmlElement]:
    """The rows of the county's list of systems; another table counts them by town."""
    listed = "//section[@aria-labelledby='list-title']//tbody/tr"
    return [row for page in pages for row in page.xpath(listed)]


def words(row: html.HtmlElement) -> str:
    """The words of a row with a space between those of different elements."""
    return " ".join(" ".join(row.itertext()).split())


def number_in(text: str) -> int:
    said = re.search(r"[\d,]+", text)
    assert said is not None
    return int(said[0].replace(",", ""))


def test_the_due_list_names_every_obligation_once_oldest_first(client: Client) -> None:
    pages = pages_of(client, "dispatcher", "/due/?within=90")
    rows = rows_of(pages)
    (head,) = [one for one in pages[0].xpath("//main/p/text()") if "obligation" in one]
    assert len(rows) == number_in(head) > 100
    said = [words(row) for row in rows]
    assert len(set(said)) == len(said)
    late = [_days_late(text) for text in said]
    assert late == sorted(late, reverse=True)
    assert sum(days > 0 for days in late) >= number_in(head.split("overdue")[0].split(",")[1])


def _days_late(text: str) -> int:
    if "due today" in text:
        return 0
    ahead = re.search(r"due in ([\d,]+) day", text)
    if ahead:
        return -number_in(ahead[1])
    behind = re.search(r"([\d,]+) days? overdue", text)
    assert behind is not None
    return number_in(behind[1])


def test_the_due_list_says_the_rule_and_unfolds_how_the_date_came_about(client: Client) -> None:
    page = html.fromstring(client("dispatcher").get("/due/").text)
    rules = page.xpath("//main//tbody//details/summary/text()")
    reasons = page.xpath("//main//tbody//details/p/text()")
    assert len(rules) == len(reasons) == len(page.xpath("//main//tbody/tr")) == 50
    assert all(rules)
    assert all(reasons)


def test_county_staff_read_the_rule_but_not_what_tells_of_the_household(client: Client) -> None:
    page = html.fromstring(client("county").get("/due/").text)
    assert page.xpath("//main//tbody//details") == []
    assert all(row.xpath("./td[last()]")[0].text_content() for row in rows_of([page]))


def test_the_days_ahead_that_were_asked_for_stay_chosen(client: Client) -> None:
    for asked, chosen in (("7", "7"), ("45", "45"), ("", "30")):
        page = html.fromstring(client("dispatcher").get(f"/due/?within={asked}").text)
        assert page.xpath("//select[@id='within']/option[@selected]/@value") == [chosen]


def test_the_countys_list_names_every_overdue_system_once_longest_first(client: Client) -> None:
    pages = pages_of(client, "county", "/county/")
    rows = systems_of(pages)
    (head,) = pages[0].xpath("//h1/text()")
    assert len(rows) == number_in(head) > 20
    late = [_days_late(words(row.xpath("td[2]")[0])) for row in rows]
    assert late == sorted(late, reverse=True)


def test_filters_stay_in_every_address_of_the_countys_page(client: Client) -> None:
    asked = {"late": "30", "kind": "mound", "zone": "in", "place": "1"}
    address = "/county/?" + "&".join(f"{name}={value}" for name, value in asked.items())
    page = html.fromstring(client("county").get(address).text)
    for name, value in asked.items():
        (chosen,) = page.xpath(f"//select[@id='{name}']/option[@selected]")
        assert (chosen.get("value") or chosen.text) == value
    addresses = [
        *page.xpath("//a[contains(@href, '/files/overdue.')]/@href"),
        *page.xpath("//*[@id='map']/@data-systems"),
    ]
    assert len(addresses) == 6
    for one in addresses:
        for name, value in asked.items():
            assert f"{name}={value}" in unescape(one)


def test_each_row_of_the_countys_list_is_a_mark_with_a_name_for_all_readers(
    client: Client,
) -> None:
    page = html.fromstring(client("county").get("/county/").text)
    marks = page.xpath("//main//tbody//*[local-name()='svg']")
    assert len(marks) == len(systems_of([page]))
    for mark in marks:
        title = mark.xpath("./*[local-name()='title']/text()")[0]
        assert "overdue by" in title


def test_the_table_by_town_adds_up_to_the_page_and_its_links_narrow_to_one_town(
    client: Client,
) -> None:
    page = html.fromstring(client("county").get("/county/?late=30").text)
    towns = page.xpath("//section[@aria-labelledby='towns-title']//tbody/tr")
    counts = [re.findall(r"[\d,]+", row.xpath("./td[1]")[0].text_content())[:2] for row in towns]
    late = [number_in(one) for one, _ in counts]
    assert late == sorted(late, reverse=True)
    assert sum(late) == number_in(page.xpath("//h1/text()")[0])
    (first, *_) = page.xpath("//section[@aria-labelledby='towns-title']//tbody//a/@href")
    narrowed = html.fromstring(client("county").get(first).text)
    assert number_in(narrowed.xpath("//h1/text()")[0]) == late[0]
    assert "in the town" in narrowed.xpath("//*[@id='shown']")[0].text_content()
    assert narrowed.xpath("//*[@id='shown']/a/@href") == ["/county/"]


def test_a_saved_view_opens_with_its_filters_for_its_own_sign_in_alone(client: Client) -> None:
    here = {"Origin": "http://localhost"}
    asked = {"name": " Late  mounds ", "kind": "mound", "late": "90", "agreement": "lapsed"}
    assert client("county").post("/county/views", data=asked, headers=here).status_code == 302
    page = html.fromstring(client("county").get("/county/").text)
    (address,) = page.xpath("//a[text()='Late mounds']/@href")
    shown = client("county").get(address).text
    assert "more than 90 days overdue; of type mound; service agreement lapsed" in shown
    assert "Late mounds" not in client("dispatcher").get("/county/").text
    (forget,) = page.xpath("//form[contains(@action, '/forget')]/@action")
    assert client("dispatcher").post(forget, headers=here).status_code == 404
    assert client("county").post(forget, headers=here).status_code == 302
    assert "Late mounds" not in client("county").get("/county/").text
    wrong = client("county").post("/county/views", data={"name": "x", "kind": "?"}, headers=here)
    assert wrong.status_code == 422


def test_the_countys_list_names_the_rule_and_the_letters_behind_each_system(
    client: Client,
) -> None:
    page = html.fromstring(client("county").get("/letters/?days=90").text)
    (site, *_) = page.xpath("//input[@name='site']/@value")
    here = {"Origin": "http://localhost"}
    sent = client("county").post("/letters/write", data={"site": [site]}, headers=here)
    assert sent.status_code == 302
    rows = systems_of(pages_of(client, "county", "/county/"))
    assert all("Rule: " in words(row) for row in rows)
    (row,) = [one for one in rows if one.xpath(f".//a[@href='/sites/{site}']")]
    assert "1 letter, last on" in words(row)
