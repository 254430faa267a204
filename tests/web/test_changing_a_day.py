"""Changing a day by hand in a real browser: keyboard, pointer, undo, keeping, two dispatchers."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from registry.services.make_demo import county_today
from tests.web.visit import DAY, PHONE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

    from tests.demo import Demo
    from tests.server import Server

PATH = f"/day/{DAY}"
PLAIN_STOP = '.lift[data-stop]:not([data-stop^="fill"])'


@pytest.fixture
def server(demo: "Demo", serve: "Callable[..., Server]") -> "Server":
    """A server of the county for one test."""
    return serve(demo.store_url, demo.folder, "--on", str(county_today()))


@pytest.fixture
def office(server: "Server", demo: "Demo", new_page: "Callable[..., Page]") -> Visit:
    """The dispatcher before a day that can be changed."""
    here = Visit(new_page(server.url))
    here.sign_in("dispatcher", demo.password("dispatcher"))
    opened(here)
    return here


def opened(here: Visit) -> "Page":
    page = here.opened(PATH)
    here.until("document.body.dataset.hand === 'ready'")
    return page


def said(here: Visit) -> str:
    return here.page.locator("#hand-said").inner_text().strip()


def changed(here: Visit) -> bool:
    return here.page.locator("[data-do=save]").is_enabled()


def first_line(here: Visit) -> list[str]:
    """The stops of the first technician in their order."""
    line = here.page.locator("g.line").first.locator("g.stop")
    return [str(stop.get_attribute("data-stop")) for stop in line.all()]


def lift(here: Visit, at: int = 0) -> "Locator":
    """Lift a stop of the first line by keyboard."""
    name = first_line(here)[at]
    button = here.page.locator(f'.lift[data-stop="{name}"]')
    button.focus()
    here.page.keyboard.press("Enter")
    here.until("document.querySelector('#hand-places tbody').childElementCount > 0")
    return button


def test_a_visit_is_carried_by_keyboard_undone_and_done_again(office: Visit) -> None:
    page = office.page
    before = first_line(office)
    lift(office)
    page.keyboard.press("ArrowRight")
    assert "between" in said(office)
    page.keyboard.press("Enter")
    office.until("!document.querySelector('[data-do=save]').disabled")
    assert first_line(office) == [before[1], before[0], *before[2:]]
    assert "stop 2 of" in said(office)
    assert page.locator("#hand-price").inner_text() != ""
    assert page.evaluate("document.activeElement.dataset.stop") == before[0]
    page.keyboard.press("Control+z")
    assert first_line(office) == before
    assert not changed(office)
    page.keyboard.press("Control+Shift+Z")
    assert first_line(office) == [before[1], before[0], *before[2:]]
    page.click("[data-do=back]")
    assert first_line(office) == before
    assert office.complaints == []


def test_escape_puts_a_visit_back(office: Visit) -> None:
    before = first_line(office)
    lift(office, 1)
    office.page.keyboard.press("ArrowDown")
    office.page.keyboard.press("Escape")
    assert said(office) == "Put back."
    assert first_line(office) == before
    assert not changed(office)


def test_where_a_carried_visit_would_be_laid_down_stays_in_sight(office: Visit) -> None:
    office.page.set_viewport_size({"width": 1280, "height": 420})
    lift(office)
    for _ in range(3):
        office.page.keyboard.press("ArrowDown")
        place = office.page.locator(".caret").bounding_box()
        assert place is not None
        assert 0 <= place["y"] <= 420 - place["height"]
    office.page.keyboard.press("Escape")


def test_the_arrow_keys_lead_from_bar_to_bar(office: Visit) -> None:
    page = office.page
    stops = first_line(office)
    page.locator(f'.lift[data-stop="{stops[0]}"]').focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.dataset.stop") == stops[1]
    page.keyboard.press("End")
    assert page.evaluate("document.activeElement.dataset.stop") == stops[-1]
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.dataset.stop") not in stops
    assert page.locator(".lift[tabindex='0']").count() == 1


def test_delete_takes_a_visit_off_and_the_list_puts_it_back(office: Visit) -> None:
    page = office.page
    name = first_line(office)[0]
    lift(office)
    page.keyboard.press("Delete")
    office.until("!document.querySelector('[data-do=save]').disabled")
    assert name not in first_line(office)
    assert "Taken off the routes" in said(office)
    page.locator("#hand-places [data-put]").first.click()
    office.until(f"document.querySelector('.lift[data-stop=\"{name}\"]') !== null")


def test_a_visit_is_carried_by_pointer(office: Visit) -> None:
    page = office.page
    before = first_line(office)
    page.locator(f'.lift[data-stop="{before[0]}"]').scroll_into_view_if_needed()
    boxes = [page.locator(f'.lift[data-stop="{name}"]').bounding_box() for name in before[:3]]
    assert all(boxes)
    middles = [(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2) for box in boxes if box]
    page.mouse.move(*middles[0])
    page.mouse.down()
    page.mouse.move(middles[0][0] + 12, middles[0][1] + 4, steps=3)
    page.mouse.move(*middles[2], steps=6)
    assert page.locator(".ghost").count() == 1
    assert page.locator(".caret").inner_text() != ""
    page.mouse.up()
    office.until("!document.querySelector('[data-do=save]').disabled")
    assert first_line(office) != before or before[0] not in first_line(office)
    assert page.locator(".ghost, .caret").count() == 0
    assert office.complaints == []


def test_a_waiting_visit_is_put_on_a_route_from_the_list(office: Visit) -> None:
    page = office.page
    row = page.locator("table.waiting tr", has=page.locator(".find-place")).first
    name = row.get_attribute("data-stop")
    row.locator(".find-place").click()
    put = page.locator("#hand-places [data-put]").first
    put.wait_for()
    put.click()
    office.until(f"document.querySelector('.lift[data-stop=\"{name}\"]') !== null")


def test_what_gives_way_is_marked_told_and_kept_only_if_meant(office: Visit) -> None:
    """The last line's day is full, so all that is put on it makes the shift too long."""
    page = office.page
    lift(office)
    for _ in range(3):
        page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    office.until("!document.querySelector('[data-do=save]').disabled")
    assert page.locator("#hand-breaks li").count() > 0
    assert "What gives way" in said(office)
    assert page.locator("g.line").count() == 4
    assert "Zigzag" in page.locator("#charts").inner_text()
    page.click("[data-do=save]")
    page.locator("dialog[open]").wait_for()
    assert "breaks limits" in page.locator("dialog").inner_text()
    page.click("[data-do=close]")
    assert changed(office)
    page.click("[data-do=save]")
    page.locator("dialog[open]").wait_for()
    page.click("[data-do=agree]")
    page.locator("text=Kept although").first.wait_for()
    office.until("document.body.dataset.hand === 'ready'")
    assert page.locator("#hand-breaks li").count() > 0
    assert office.wcag() == []


def test_the_second_of_two_dispatchers_is_told_what_changed(
    office: Visit, server: "Server", demo: "Demo", new_page: "Callable[..., Page]"
) -> None:
    second = Visit(new_page(server.url))
    second.sign_in("administrator", demo.password("administrator"))
    opened(second)
    for here in (office, second):
        lift(here)
        here.page.keyboard.press("ArrowRight")
        here.page.keyboard.press("Enter")
        here.until("!document.querySelector('[data-do=save]').disabled")
    keep(office)
    second.page.click("[data-do=save]")
    second.page.locator("dialog[open]").wait_for()
    told = second.page.locator("dialog").inner_text()
    assert "Somebody was quicker" in told
    assert "changed by hand meanwhile by dispatcher" in told
    second.page.click("[data-do=agree]")
    second.page.locator("text=by hand, from plan").first.wait_for()


def keep(here: Visit) -> None:
    """Keep the plan, whether it holds or not."""
    here.page.click("[data-do=save]")
    kept = here.page.get_by_text("by hand, from plan")
    here.page.locator("dialog[open]").or_(kept).first.wait_for()
    if here.page.locator("dialog[open]").count():
        here.page.click("[data-do=agree]")
    here.page.locator("text=by hand, from plan").first.wait_for()


def test_chart_and_map_show_the_same_selection(office: Visit) -> None:
    office.until("document.body.dataset.map === 'ready'")
    page = office.page
    name = first_line(office)[0]
    select = (
        "(site) => document.dispatchEvent(new CustomEvent('riserway:select', {detail: {site}}))"
    )
    page.evaluate(select, name)
    assert page.locator(f'.lift[data-stop="{name}"]').get_attribute("aria-pressed") == "true"
    assert page.locator(".lift[aria-pressed=true]").count() == 1


def test_the_tool_is_accessible_with_a_list_open_also_on_a_phone(office: Visit) -> None:
    lift(office)
    office.page.keyboard.press("Escape")
    assert office.wcag() == []
    office.page.set_viewport_size({"width": PHONE, "height": 780})
    assert office.wcag() == []
    assert office.sideways() == 0
