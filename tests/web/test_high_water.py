"""The High water page in a real browser: slider, map, ladder and list go together, by keyboard."""

import re
from collections.abc import Callable

from tests.web.visit import WIDE, Visit

WET = "Number(document.querySelector('.water-marks').dataset.wet)"
LEVEL = "Number(document.querySelector('.ladder-water').getAttribute('y'))"


def test_the_slider_moves_map_ladder_and_lists_and_a_site_is_chosen_in_all_of_them(
    visit: Callable[..., Visit],
) -> None:
    here = visit("dispatcher", WIDE)
    page = here.map_opened("/high-water/?stage=12")
    wet, level = page.evaluate(WET), page.evaluate(LEVEL)
    page.focus("#slider")
    for _ in range(20):
        page.keyboard.press("ArrowRight")  # a tenth of a foot each
    assert page.input_value("#stage") == "14"
    assert page.evaluate(WET) > wet
    assert page.evaluate(LEVEL) < level
    told = page.inner_text("#told")
    here.until("document.body.dataset.lists === '14'")
    found = re.match(
        r"At 14.0 ft: \d+ components of \d+ sites under water, \d+ roads? closed", told
    )
    assert found is not None
    assert page.inner_text("#told").startswith(found[0])  # the server says the same
    button = page.locator("button.pick").nth(2)
    button.focus()
    page.keyboard.press("Enter")
    assert button.get_attribute("aria-pressed") == "true"
    site = button.get_attribute("data-site")
    assert page.get_attribute("#picked a", "href") == f"/sites/{site}"
    parts = page.evaluate("document.querySelectorAll('.ladder-picked text').length")
    assert f" of {parts} measured parts under water" in page.inner_text("#picked")
    assert page.locator(f"tr.is-picked[data-site='{site}']").count() >= 1
    assert here.complaints == []
