"""Maps in a real browser: marks drawn, words in our own letters, boxes that lead on."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.web.visit import DAY, PHONE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Page

MAP = "document.getElementById('map').paperMap"


def drawn(page: "Page", layer: str) -> list[dict[str, Any]]:
    """The properties of what a layer of the map shows."""
    found: list[dict[str, Any]] = page.evaluate(
        f"{MAP}.queryRenderedFeatures({{layers: ['{layer}']}}).map((one) => one.properties)"
    )
    return found


def look_from(here: Visit, zoom: float) -> None:
    """Move the map and wait until all is drawn."""
    here.page.evaluate(
        f"() => {{ window.still = false; {MAP}.once('idle', () => {{ window.still = true; }});"
        f" {MAP}.jumpTo({{zoom: {zoom}}}); }}"
    )
    here.until("window.still")


def test_the_county_map_opens_with_a_lid_for_every_overdue_system_in_sight(
    visit: Callable[..., Visit],
) -> None:
    here = visit("county")
    page = here.map_opened("/county/")
    marks = drawn(page, "lids")
    assert len({one["site"] for one in marks}) > 25
    assert all(one["share_passed"] > 1 for one in marks)
    assert drawn(page, "squares") == []
    assert here.complaints == []  # the library complains of a mark that was not drawn


def test_from_afar_squares_stand_for_many_and_lead_closer(visit: Callable[..., Visit]) -> None:
    here = visit("county")
    page = here.map_opened("/county/")
    look_from(here, 8)
    squares = drawn(page, "squares")
    assert drawn(page, "lids") == []
    assert sum(one["n"] for one in squares) > 200
    assert 0 < sum(one["late"] for one in squares) < 100
    before = page.evaluate(f"{MAP}.getZoom()")
    at = page.evaluate(
        f"(() => {{ const one = {MAP}.queryRenderedFeatures({{layers: ['squares']}})[0];"
        f" const p = {MAP}.project(one.geometry.coordinates);"
        f" const box = {MAP}.getCanvas().getBoundingClientRect();"
        " return [p.x + box.left, p.y + box.top]; })()"
    )
    page.mouse.click(*at)
    here.until(f"{MAP}.getZoom() > {before} + 1")


def test_a_lid_that_is_pressed_says_what_it_stands_for_and_leads_to_the_site(
    visit: Callable[..., Visit],
) -> None:
    here = visit("county")
    page = here.map_opened("/county/?late=90")
    at = page.evaluate(
        f"(() => {{ const one = {MAP}.queryRenderedFeatures({{layers: ['lids']}})[0];"
        f" const p = {MAP}.project(one.geometry.coordinates);"
        f" const box = {MAP}.getCanvas().getBoundingClientRect();"
        " return [p.x + box.left, p.y + box.top, one.properties.site]; })()"
    )
    page.mouse.click(at[0], at[1])
    box = page.locator(".maplibregl-popup")
    box.wait_for()
    box.locator("h3").wait_for()
    said = box.inner_text()
    assert "days overdue" in said
    assert "Letters to the owner" in said
    assert "Reports missing" in said
    assert page.evaluate("document.activeElement.tagName") == "H3"
    leads = box.locator("a").get_attribute("href")
    assert leads is not None
    assert leads.startswith("/sites/")
    named = box.locator("a").inner_text()
    page.keyboard.press("Escape")
    box.wait_for(state="detached")
    row = page.locator("table.marks details").first
    row.locator("summary").focus()
    page.keyboard.press("Enter")
    row.locator("button").focus()
    page.keyboard.press("Enter")
    box.locator("h3").wait_for()
    assert page.evaluate("document.activeElement.tagName") == "H3"
    page.goto(leads)
    assert page.locator("h1").inner_text() == named
    assert here.wcag() == []


def test_the_words_of_the_map_are_drawn_by_the_page_itself(visit: Callable[..., Visit]) -> None:
    here = visit("county")
    page = here.map_opened("/county/?kind=holding tank")
    look_from(here, 12)
    assert {one["name"] for one in drawn(page, "places-names")}
    asked = page.evaluate("performance.getEntriesByType('resource').map((one) => one.name)")
    assert not [one for one in asked if one.startswith("ink:") or "font" in one]
    letters = page.evaluate("""async () => {
      const {installGlyphs} = await import('/static/glyphs.js');
      let answer;
      installGlyphs({addProtocol: (name, asked) => { answer = asked; }});
      const {data} = await answer({url: 'ink://label/0-255'});
      return [...new Uint8Array(data)];
    }""")
    assert_letters(bytes(letters))


def assert_letters(data: bytes) -> None:
    """Read letters as the protocol buffer that MapLibre reads (mapbox/node-fontnik, glyphs.proto,
    from memory): each has a number, a field of distances with a border of 3, and its advance."""
    (stack,) = [body for place, body in fields(data) if place == 1]
    assert isinstance(stack, bytes)
    glyphs = {}
    for place, body in fields(stack):
        if place == 3:
            assert isinstance(body, bytes)
            one = dict(fields(body))
            glyphs[one[1]] = one
    assert set(map(ord, "AZaz09 é°")) <= set(glyphs)
    for one in glyphs.values():
        if 2 in one:
            assert isinstance(one[2], bytes)
            assert len(one[2]) == (one[3] + 6) * (one[4] + 6)
    wide, thin = glyphs[ord("W")], glyphs[ord("i")]
    assert wide[7] > thin[7] > 0
    assert max(wide[2]) > 192 > min(wide[2])  # inside and outside of the outline


def fields(data: bytes) -> list[tuple[int, Any]]:
    """The fields of one message: (place, number or bytes)."""
    found: list[tuple[int, Any]] = []
    at = 0

    def number() -> int:
        nonlocal at
        value = shift = 0
        while True:
            byte = data[at]
            at += 1
            value |= (byte & 127) << shift
            shift += 7
            if byte < 128:
                return value

    while at < len(data):
        key = number()
        if key & 7 == 2:
            length = number()
            found.append((key >> 3, data[at : at + length]))
            at += length
        else:
            found.append((key >> 3, number()))
    return found


def test_the_days_map_draws_each_route_with_its_own_hand_and_arrival_times(
    visit: Callable[..., Visit],
) -> None:
    here = visit("dispatcher")
    page = here.map_opened(f"/day/{DAY}")
    lines = [one for number in range(4) for one in drawn(page, f"route-{number}")]
    assert len({one["who"] for one in lines}) == 4
    times = {one["label"] for one in drawn(page, "arrivals")}
    assert len(times) > 8
    rows = page.locator("table.stops tbody .time").all_inner_texts()
    assert {one.split()[0].lstrip("0") for one in times} <= set(rows)
    assert drawn(page, "waiting")
    assert here.complaints == []


def test_the_time_distance_chart_scrolls_in_its_own_box_on_a_phone(
    visit: Callable[..., Visit],
) -> None:
    page = visit("dispatcher", PHONE).opened(f"/day/{DAY}")
    box = page.locator(".chart").first
    inside, outside = box.evaluate("(one) => [one.scrollWidth, one.clientWidth]")
    assert inside > outside > 300


def test_a_device_that_cannot_draw_maps_is_told_where_to_read_the_same(
    shared_page: "Page", sign_in: "Callable[[Page, str], None]"
) -> None:
    page = shared_page
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    sign_in(page, "county")
    page.goto("/county/")
    page.locator(".map-missing").wait_for()
    assert "cannot draw the map" in page.locator("#map").inner_text()
    assert page.locator("table.marks tbody tr").count() > 20


@pytest.mark.parametrize("name", ["day", "overdue"])
def test_a_stand_alone_map_is_drawn_from_a_file_and_asks_nobody(
    new_page: "Callable[..., Page]", visit: Callable[..., Visit], tmp_path: Path, name: str
) -> None:
    address = f"/files/day/{DAY}.html" if name == "day" else "/files/overdue.html"
    body = visit("dispatcher").page.request.get(address).body()
    file = tmp_path / f"{name}.html"
    file.write_bytes(body)
    here = Visit(new_page("", viewport={"width": PHONE, "height": 780}))
    page = here.opened(file.as_uri())
    here.until("document.querySelector('.leaflet-container canvas') !== null")
    here.until("[...document.querySelectorAll('script')].length > 0")
    page.wait_for_timeout(300)
    assert here.complaints == []
    assert here.wcag() == []
    assert here.sideways() == 0
    if name == "overdue":
        assert page.locator(".lid").count() > 25
        return
    boxes = page.evaluate(
        "[...document.querySelectorAll('.label')]"
        ".filter((one) => one.style.visibility !== 'hidden')"
        ".map((one) => one.getBoundingClientRect()).map((b) => [b.left, b.top, b.right, b.bottom])"
    )
    assert len(boxes) > 3
    for number, one in enumerate(boxes):
        for other in boxes[number + 1 :]:
            apart = (
                one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            )
            assert apart
