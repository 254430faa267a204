"""A site's place is pointed at on the map of its form: by keys and by pointer."""

from collections.abc import Callable

from tests.web.visit import PHONE, Visit


def test_a_place_is_taken_by_arrow_keys_and_by_a_click(visit: Callable[..., Visit]) -> None:
    here = visit("dispatcher", PHONE)
    page = here.map_opened("/sites/21/edit/site/21")
    place, known = page.locator("#is-position"), page.locator("#is-position_source")
    began = place.input_value()
    middle = "JSON.stringify(document.getElementById('map').paperMap.getCenter())"
    page.locator("#map canvas").focus()
    before = page.evaluate(middle)
    page.keyboard.press("ArrowRight")
    here.until(f"{middle} !== {before!r} && !document.getElementById('map').paperMap.isMoving()")
    page.keyboard.press("Enter")
    by_keys = place.input_value()
    assert by_keys != began
    assert float(by_keys.split(",")[1]) > float(began.split(",")[1])
    assert known.input_value() == "by pointing"
    assert float(page.locator("#is-position_accuracy_m").input_value()) >= 10
    assert "by pointing, ± 10 m" in page.locator("[data-point=said]").inner_text()
    page.locator("#map canvas").click(position={"x": 60, "y": 90})
    assert place.input_value() != by_keys
    assert page.url.endswith("/edit/site/21")
    assert here.complaints == []
