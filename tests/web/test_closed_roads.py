"""Closing a road in the browser: by keys and by pointer on the map, and opening it again."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from registry.services.make_demo import county_today
from tests.browser import wcag_violations
from tests.web.visit import DAY, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.demo import Demo
    from tests.server import Server

POINTS = "#drawn-points"


@pytest.fixture
def office(demo: "Demo", serve: "Callable[..., Server]", new_page: "Callable[..., Page]") -> Visit:
    """The dispatcher before the Day page of a store of their own."""
    server = serve(demo.store_url, demo.folder, "--on", str(county_today()))
    here = Visit(new_page(server.url))
    here.sign_in("dispatcher", demo.password("dispatcher"))
    return here


def opened(office: Visit) -> "Page":
    page = office.opened(f"/day/{DAY}")
    page.locator("#closed-roads[data-ready=yes]").wait_for(state="attached", timeout=60_000)
    page.locator("#draw-closure summary").press("Enter")
    return page


def test_points_are_set_by_keys_and_by_clicks_taken_back_and_closed(office: Visit) -> None:
    page = opened(office)
    page.locator("[data-draw=middle]").press("Enter")
    assert page.locator("[data-draw=said]").inner_text() == "Point 1 set."
    page.locator("[data-draw=click]").press("Enter")
    assert page.locator("[data-draw=click]").get_attribute("aria-pressed") == "true"
    box = page.locator("#map canvas").bounding_box()
    assert box is not None
    for x in (0.3, 0.6):
        page.locator("#map canvas").click(
            position={"x": box["width"] * x, "y": box["height"] * 0.4}
        )
    lines = page.locator(POINTS).input_value().split("\n")
    assert len(lines) == 3
    page.locator("[data-draw=back]").press("Enter")
    assert page.locator(POINTS).input_value().split("\n") == lines[:2]
    page.locator("#drawn-name").fill("the dip")
    page.locator("#draw-closure button[type=submit]").press("Enter")
    page.locator("#closed-roads li").wait_for()
    assert "the dip, closed from" in page.locator("#closed-roads li").inner_text()
    assert "Closed: the dip." in page.locator(".flashes").inner_text()
    page.locator("#closed-roads li button").press("Enter")
    page.get_by_text("None is recorded for this date.").wait_for()
    assert office.complaints == []


def test_the_forms_can_be_reached_by_everybody(office: Visit) -> None:
    page = opened(office)
    for summary in page.locator("#closed-roads summary").all()[::2]:
        summary.press("Enter")
    assert wcag_violations(page) == []
