"""Pages on paper: a gate sheet on two pages at most, no control in print."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from registry.services.make_demo import county_today
from tests.web.visit import DAY, Visit

if TYPE_CHECKING:
    from tests.demo import Demo


HEAVIEST = 6
MOST_DAY_PAGES = 8
"""The county's date has about 25 visits on four routes and 60 that wait; then the lists for the
morning."""


@pytest.fixture(scope="module")
def heaviest(demo_as_made: "Demo") -> list[str]:
    """The gate sheets with the most to print, by parts on file and tasks that are due."""
    later = (county_today() + timedelta(days=30)).isoformat()
    with closing(sqlite3.connect(demo_as_made.folder / "county.sqlite")) as store:
        rows = store.execute(
            "SELECT site.id FROM site JOIN system ON system.site_id = site.id "
            "JOIN component ON component.system_id = system.id GROUP BY site.id "
            "ORDER BY COUNT(DISTINCT component.id) + 4 * (SELECT COUNT(*) FROM obligation "
            "WHERE obligation.site_id = site.id AND obligation.due_on <= ?) DESC LIMIT ?",
            (later, HEAVIEST),
        )
        return [f"/gate/{site_id}/{DAY}" for (site_id,) in rows]


def test_a_gate_sheet_prints_on_two_pages_at_most(
    visit: Callable[..., Visit], heaviest: list[str]
) -> None:
    here = visit("dispatcher")
    pages = {}
    for path in heaviest:
        here.opened(path)
        pages[path] = len(here.printed().pages)
    assert len(pages) == HEAVIEST
    assert {path: count for path, count in pages.items() if count > 2} == {}


def test_paper_has_hazards_first_lines_to_write_on_and_nothing_to_press(
    visit: Callable[..., Visit], heaviest: list[str]
) -> None:
    here = visit("dispatcher")
    here.opened(heaviest[0])
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
    assert len(printed.pages) <= MOST_DAY_PAGES
    wide, high = printed.pages[0].mediabox.width, printed.pages[0].mediabox.height
    assert wide > high
