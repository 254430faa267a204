"""The button that orders a day, from press to plan, in a store of its own."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from registry.services.make_demo import county_today
from tests.web.visit import DAY, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.demo import Demo
    from tests.server import Server


ORDER = "form[action$='/order'] button.primary"


@pytest.fixture
def office(demo: "Demo", serve: "Callable[..., Server]", new_page: "Callable[..., Page]") -> Visit:
    """The dispatcher before a server whose searches are short."""
    server = serve(demo.store_url, demo.folder, "--on", str(county_today()), "--seconds", "1")
    here = Visit(new_page(server.url))
    here.sign_in("dispatcher", demo.password("dispatcher"))
    return here


def test_a_press_orders_the_day_tells_how_it_goes_and_keeps_what_is_held(office: Visit) -> None:
    page = office.opened(f"/day/{DAY}")
    before = page.locator("main > p.quiet").last.inner_text()
    waits = page.locator("table.waiting tbody tr").first
    site = waits.locator("th a").inner_text()
    waits.locator("td button").click()
    assert page.locator("table.waiting tbody tr").first.locator(".tag").inner_text() == "held"
    page.click(ORDER)
    page.locator("#progress progress").wait_for()
    assert page.locator(ORDER).is_disabled()
    page.locator("#progress[data-open=no]").wait_for(state="attached", timeout=120_000)
    after = page.locator("main > p.quiet").last.inner_text()
    assert after != before
    assert page.locator(ORDER).is_enabled()
    held = page.locator("tr", has=page.locator(".tag", has_text="held"))
    assert site in held.first.inner_text()
    assert office.complaints == []


def test_an_ordering_that_is_stopped_keeps_the_best_plan_so_far(
    demo: "Demo", serve: "Callable[..., Server]", new_page: "Callable[..., Page]"
) -> None:
    server = serve(demo.store_url, demo.folder, "--on", str(county_today()), "--seconds", "600")
    office = Visit(new_page(server.url))
    office.sign_in("dispatcher", demo.password("dispatcher"))
    page = office.opened(f"/day/{DAY}")
    page.click(ORDER)
    office.until(
        "/improv|cost|plan|round/i.test(document.querySelector('.progress-text').innerText)"
    )
    page.get_by_text("Stop and keep the best so far").click()
    page.get_by_text("Stopping: the best plan found so far is kept.").wait_for()
    page.locator("#progress[data-open=no]").wait_for(state="attached", timeout=120_000)
    assert "This date is not ordered yet" not in page.locator("main").inner_text()
    assert office.complaints == []
