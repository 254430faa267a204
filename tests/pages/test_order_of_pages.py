"""What stands on a page, in which order: the table of pages in the design of this project."""

import re

import pytest
from lxml import html
from sqlalchemy import select

from registry.store.tables import RouteRow
from registry.wiring import Parts
from tests.pages.visitors import DAY, Client


def headings(client: Client, role: str, path: str, level: str = "h2") -> list[str]:
    page = html.fromstring(client(role).get(path).text)
    return [" ".join(one.text_content().split()) for one in page.xpath(f"//main//{level}")]


@pytest.fixture(scope="module")
def routed(parts: Parts) -> list[int]:
    """The sites that are on a route of the day."""
    with parts.store.reading() as session:
        bodies = session.scalars(select(RouteRow.body)).all()
    return [stop["site_id"] for body in bodies for stop in body["stops"] if stop["site_id"]]


def test_a_gate_sheet_says_what_can_hurt_first_and_return_to_service_last(
    client: Client, routed: list[int]
) -> None:
    for site_id in routed:
        said = headings(client, "technician", f"/gate/{site_id}/{DAY}")
        if "Last photos" in said:  # where a site has any they stand by the places they show
            assert said.index("Last photos") == said.index("Where things are") + 1
            said.remove("Last photos")
        assert said == [
            *("Hazards at this site", "Access", "Cautions", "Where things are", "What to bring"),
            *("Tasks", "Return to service", "Findings"),
        ]


def test_a_gate_sheet_has_steps_cautions_and_readings_for_each_task(
    client: Client, routed: list[int]
) -> None:
    page = html.fromstring(client("technician").get(f"/gate/{routed[0]}/{DAY}").text)
    tasks = page.xpath("//section[@class='task']")
    assert tasks
    for one in tasks:
        assert one.xpath(".//ol[@class='steps']/li")
        assert one.xpath(".//table[@class='readings']//tbody/tr")


def test_a_gate_sheet_has_nothing_to_press_that_does_nothing(
    client: Client, routed: list[int]
) -> None:
    page = html.fromstring(client("technician").get(f"/gate/{routed[0]}/{DAY}").text)
    buttons = page.xpath("//main//button | //main//input | //main//select")
    assert [one.get("data-print") is not None for one in buttons] == [True]
    assert all(href and href != "#" for href in page.xpath("//main//a/@href"))


def test_a_gate_sheet_for_a_day_on_which_the_owner_is_closed_says_why(
    client: Client, parts: Parts
) -> None:
    from registry.store.tables import WindowExceptionRow

    with parts.store.reading() as session:
        closed = session.scalars(
            select(WindowExceptionRow.site_id).where(
                WindowExceptionRow.on_date == parts.today(), WindowExceptionRow.opens_min.is_(None)
            )
        ).all()
    assert closed
    for site_id in closed:
        text = client("technician").get(f"/gate/{site_id}/{DAY}").text
        assert re.search(rf"<strong>Closed on {DAY}", text)


def test_the_day_shows_its_picture_first_then_routes_what_waits_and_lists(client: Client) -> None:
    said = headings(client, "dispatcher", f"/day/{DAY}")
    if said[0] == "Working alone, not heard of":  # before all, at hours when somebody is out
        said = said[1:]
    assert said[:4] == ["Time and distance", "Map", "Closed roads", "Routes"]
    assert said[4].startswith("Waiting (")
    assert said[5:] == ["While the day runs", "For the morning"]


def test_the_top_of_the_day_leads_to_each_of_its_parts(client: Client) -> None:
    page = html.fromstring(client("dispatcher").get(f"/day/{DAY}").text)
    links = page.xpath("//nav[@aria-label='On this page']//a/@href")
    assert len(links) == 7
    assert all(page.xpath(f"//*[@id='{link.removeprefix('#')}']") for link in links)


def test_a_technician_takes_the_day_along_and_reads_the_own_route_first(client: Client) -> None:
    assert headings(client, "technician", f"/day/{DAY}") == [
        *("Without signal", "Your route", "Your order of the remaining stops", "Map"),
        *("Time and distance", "Closed roads", "For the morning"),
    ]


def test_the_routes_say_in_words_what_the_chart_draws(client: Client, routed: list[int]) -> None:
    page = html.fromstring(client("dispatcher").get(f"/day/{DAY}").text)
    named = page.xpath(
        "//table[contains(@class,'stops')]//tbody//a[contains(@href,'/gate/')]/@href"
    )
    assert sorted(named) == sorted(f"/gate/{site_id}/{DAY}" for site_id in routed)
    drawn = page.xpath("//*[local-name()='svg']//*[@data-site]/@data-site")
    assert sorted(drawn) == sorted(map(str, routed))


def test_what_waits_says_why_and_the_longest_overdue_comes_first(client: Client) -> None:
    page = html.fromstring(client("dispatcher").get(f"/day/{DAY}").text)
    rows = page.xpath("//table[contains(@class,'waiting')]//tbody/tr")
    assert len(rows) > 10
    assert all(len(row.xpath("./td[3]")[0].text_content()) > 10 for row in rows)
    late = [
        re.match(r"(\d+) days? overdue", row.xpath("./td[1]/span[2]")[0].text_content())
        for row in rows
    ]
    days = [int(one[1]) for one in late if one]
    assert days == sorted(days, reverse=True)


@pytest.mark.parametrize(
    ("role", "shown", "missing"),
    [
        ("dispatcher", ["Order the day", "date is not ordered yet"], ["Hand the day out"]),
        ("technician", ["Your dispatcher has still to order it"], ["Order the day</button>"]),
    ],
)
def test_a_day_that_is_not_ordered_says_what_to_do(
    client: Client, role: str, shown: list[str], missing: list[str]
) -> None:
    text = client(role).get("/day/2026-06-14").text
    assert all(one in text for one in shown)
    assert not any(one in text for one in missing)


def test_the_site_file_has_everything_and_the_rules_behind_it(client: Client) -> None:
    said = headings(client, "dispatcher", "/sites/21")
    assert said == [
        *("Site", "Flood facts", "Obligations", "Systems and components", "Readings"),
        *("Photos", "Visits", "History"),
    ]
    page = html.fromstring(client("dispatcher").get("/sites/21").text)
    unfolded = " ".join(page.xpath("//section[@aria-labelledby='due-title']//details//li/text()"))
    for rule in ("This sets the date", "Does not set the date", "does not apply"):
        assert rule in unfolded
    figures = page.xpath("//details[@class='origin']")
    assert len(figures) == 3  # minutes, water, worth
    for one in figures:
        assert one.xpath(".//li//*[@class='source']")


def test_every_flood_mark_says_that_it_is_no_determination(client: Client) -> None:
    for role, path in (("county", "/county/"), ("county", "/sites/21"),
                       ("technician", f"/gate/21/{DAY}")):  # fmt: skip
        assert re.search("[Nn]ot a flood determination", client(role).get(path).text)


def test_every_map_has_the_credit_of_its_roads(client: Client) -> None:
    for path in ("/county/", f"/day/{DAY}"):
        page = html.fromstring(client("dispatcher").get(path).text)
        assert "nvented" in page.xpath("string(//p[@class='credit'])")


def test_every_page_has_one_title_one_heading_and_a_way_past_the_top(client: Client) -> None:
    for path in ("/county/", "/due/", f"/day/{DAY}", "/sites/1", f"/gate/1/{DAY}", "/nothing"):
        page = html.fromstring(client("administrator").get(path).text)
        assert len(page.xpath("//h1")) == len(page.xpath("//head/title")) == 1
        assert page.get("lang") == "en"
        assert page.xpath("(//a)[1]/@href") == ["#content"]
        ids = page.xpath("//@id")
        assert len(ids) == len(set(ids))
