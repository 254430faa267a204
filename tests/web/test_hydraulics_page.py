"""The Hydraulics page in a browser: accessible, no wider than the screen, usable by keyboard."""

from collections.abc import Callable

import pytest

from tests.web.visit import PHONE, WIDE, Visit


@pytest.mark.parametrize("width", [WIDE, PHONE])
@pytest.mark.parametrize("path", ["/hydraulics/", "/hydraulics/?lift_ft=ten"])
def test_the_page_is_accessible_and_fits_its_screen(
    visit: Callable[..., Visit], path: str, width: int
) -> None:
    here = visit("technician", width)
    here.opened(path)
    here.unfold()
    assert here.wcag() == []
    assert here.sideways() == 0
    assert here.complaints == []


def test_a_changed_figure_is_worked_out_on_enter(visit: Callable[..., Visit]) -> None:
    here = visit("technician", PHONE)
    page = here.opened("/hydraulics/")
    before = page.locator("main h2 + p").first.inner_text()
    page.fill("#pipe_volumes", "4")
    page.press("#pipe_volumes", "Enter")
    here.until("location.search.includes('pipe_volumes=4')")
    assert page.locator("main h2 + p").first.inner_text() != before
    assert here.complaints == []
