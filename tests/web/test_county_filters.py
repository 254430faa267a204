"""The County map by keyboard: filtered, read by town, kept as a view; the numbers beside it."""

from collections.abc import Callable

from tests.web.visit import Visit


def test_by_keyboard_alone_the_map_is_filtered_read_by_town_and_kept(
    visit: Callable[..., Visit],
) -> None:
    here = visit("county")
    page = here.map_opened("/county/")
    page.locator("summary", has_text="Filters").focus()
    page.keyboard.press("Enter")
    page.locator("#agreement").focus()
    page.keyboard.type("lapsed")
    page.locator("#late").focus()
    page.keyboard.type("more than 30")
    page.locator(".filters button", has_text="Show").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**agreement=lapsed**")
    here.near_the_map()
    said = page.locator("#shown").inner_text()
    assert "more than 30 days overdue" in said
    assert "service agreement lapsed" in said
    table = page.get_by_role("group", name="Overdue systems by town, most first")
    assert "overdue" in table.get_by_role("row").nth(1).inner_text()
    page.locator("summary", has_text="Saved views").click()
    page.fill("#view-name", "Lapsed and late")
    page.keyboard.press("Enter")
    page.get_by_role("status").get_by_text("Lapsed and late").wait_for()
    page.get_by_role("link", name="Reset the filters").click()
    assert "agreement" not in page.url
    page.locator("summary", has_text="Saved views").click()
    page.get_by_role("link", name="Lapsed and late").click()
    page.wait_for_url("**agreement=lapsed**")
    assert here.complaints == []
