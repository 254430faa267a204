"""A photo from the phone's camera to the site file, in a real browser of 360 px."""

import io
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PIL import Image

from registry.services.make_demo import county_today
from tests.browser import wcag_violations
from tests.unit.field.pictures.shots import PLANTED, exif, opened
from tests.web.visit import DAY, PHONE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Page

SITE = 21
RED = (200, 30, 30)
SHOT_PX = (4000, 3000)
SUMMER_TIME = "-08:00"
"""The invented county's offset from UTC in June."""
FINDING = "details.finding:first-of-type"
LOW = """() => [...document.querySelectorAll('.photo-add :is(button, .key, label > input)')]
  .filter((one) => one.checkVisibility() && one.getBoundingClientRect().height < 44)
  .map((one) => one.outerHTML)"""
KEEP_ALL = """async () => {
  const {src} = document.querySelector('script[src$="record.js"]');
  return (await import(new URL('photo-add.js', src))).keepPhotos();
}"""


def held_upright() -> bytes:
    """A camera's photo of 4000 × 3000, to be turned right to be upright, with everything in it.

    Orientation 6 of CIPA DC-008, table 4: the stored top row is the right side; so what is stored
    at the top left is seen at the top right.
    """
    image = Image.effect_noise((400, 300), 40).convert("RGB").resize(SHOT_PX)
    image.paste(RED, (0, 0, 1000, 1000))
    out = io.BytesIO()
    moment = f"{county_today():%Y:%m:%d} 14:05:00"
    image.save(out, "JPEG", quality=90, exif=exif(6, moment, SUMMER_TIME), comment=PLANTED)
    return out.getvalue()


def chosen(page: "Page", place: str, data: bytes, source: str = "[capture]") -> None:
    """Choose a photo as if the camera had taken it, or from the gallery."""
    photo: Any = {"name": "IMG_1.JPG", "mimeType": "image/jpeg", "buffer": data}
    page.locator(f"{place} input[type=file]{source}").set_input_files(photo)


def test_a_photo_is_shrunk_on_the_phone_kept_and_shown_without_its_metadata(
    server: Any, new_page: Callable[..., "Page"], sign_in: Callable[["Page", str], None]
) -> None:
    page = new_page(server.url, viewport={"width": PHONE, "height": 780}, has_touch=True)
    here = Visit(page)
    sign_in(page, "technician")
    here.opened(f"/gate/{SITE}/{DAY}/record")
    here.until("document.querySelector('.photo-add:not([hidden])') !== null")
    page.locator(f"{FINDING} > summary").tap()
    data = held_upright()
    waits = f"document.querySelectorAll('{FINDING} .photo-waiting li').length"
    chosen(page, FINDING, data)
    here.until(f"{waits} === 1")
    assert page.evaluate(LOW) == []
    assert here.sideways() == 0
    assert wcag_violations(page) == []
    page.locator(f"{FINDING} .photo-waiting button", has_text="Remove").tap()
    assert page.evaluate(waits) == 0

    chosen(page, FINDING, data)
    here.until(f"{waits} === 1")
    page.keyboard.type("wet over lateral 2")  # the caption has the focus
    page.locator(f"{FINDING} .photo-waiting button", has_text="Keep").tap()
    said = "document.querySelector('{} .photo-said').textContent === 'Sent.'"
    here.until(said.format(FINDING))
    visit_place = ".photo-add:not(.finding .photo-add)"
    chosen(page, visit_place, b"no picture")
    here.until(
        f"document.querySelector('{visit_place} .photo-said').textContent.includes('no pic')"
    )
    chosen(page, visit_place, data, "[multiple]")
    here.until(f"document.querySelectorAll('{visit_place} .photo-waiting li').length === 1")
    page.evaluate(KEEP_ALL)
    here.until(said.format(visit_place))

    here.opened(f"/sites/{SITE}")
    image = page.locator('.photos img[alt="wet over lateral 2"]')
    image.scroll_into_view_if_needed()
    here.until("document.querySelector('.photos img[alt^=wet]').naturalWidth > 0")
    assert "14:05" in page.locator(".photos li", has_text="wet over").inner_text()
    assert page.locator(".photos li", has_text="14:05").count() == 2
    preview = page.context.request.get(server.url + (image.get_attribute("src") or "")).body()
    assert opened(preview).size == (300, 400)
    assert PLANTED not in preview
    link = page.locator('.photos a:has(img[alt="wet over lateral 2"])').get_attribute("href")
    body = page.context.request.get(server.url + (link or "")).body()
    assert PLANTED not in body
    assert b"Exif" not in body
    assert len(body) < 2 * 2**20 < len(data) * 2
    shown = opened(body)
    assert shown.size == (1200, 1600)
    assert dict(shown.getexif()) == {}
    corners = [shown.getpixel((x, 100)) for x in (100, 1100)]
    assert [abs(one[0] - RED[0]) + abs(one[1] - RED[1]) < 30 for one in corners] == [False, True]  # type: ignore[index]  # an RGB picture
    assert wcag_violations(page) == []
    assert here.sideways() == 0
    assert here.complaints == []
