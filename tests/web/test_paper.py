"""Pages on paper: a gate sheet on two pages at most, no control in print."""

from collections.abc import Callable

import pytest

from tests.web.visit import DAY, Visit


@pytest.fixture(scope="module")
def routed(visit: Callable[..., Visit]) -> list[str]:
    """The gate sheets of the day."""
    page = visit("dispatcher").opened(f"/day/{DAY}")
    return [one.get_attribute("href") or "" for one in page.locator("table.stops tbody th a").all()]


def test_a_gate_sheet_prints_on_two_pages_at_most(
    visit: Callable[..., Visit], routed: list[str]
) -> None:
    here = visit("dispatcher")
    assert len(routed) > 15
    pages = {}
    for path in routed:
        here.opened(path)
        pages[path] = len(here.printed().pages)
    assert {path: count for path, count in pages.items() if count > 2} == {}


def test_paper_has_hazards_first_lines_to_write_on_and_nothing_to_press(
    visit: Callable[..., Visit], routed: list[str]
) -> None:
    here = visit("dispatcher")
    here.opened(routed[0])
    text = "\n".join(one.extract_text() for one in here.printed("A4").pages)
    order = [
        text.index(said)
        for said in ("Hazards at this site", "Access", "Cautions", "Where things are", "Tasks")
    ]
    assert order == sorted(order)
    assert "Findings" in text
    assert "Now" in text
    for control in ("Sign out", "Print", "Skip to the content", "Day\n"):
        assert control not in text


def test_the_day_prints_with_its_chart_routes_and_what_waits(visit: Callable[..., Visit]) -> None:
    here = visit("dispatcher")
    here.opened(f"/day/{DAY}")
    printed = here.printed()
    text = "\n".join(one.extract_text() for one in printed.pages)
    for said in ("Time and distance", "Routes", "Waiting (", "Gate open"):
        assert said in text
    for control in ("Hold here", "Order the day", "Hand the day out"):
        assert control not in text
    wide, high = printed.pages[0].mediabox.width, printed.pages[0].mediabox.height
    assert wide > high
