"""Every page, wide and on a phone: accessible, nothing wider than the screen, no complaint."""

from collections.abc import Callable

import pytest

from tests.web.visit import DAY, PHONE, WIDE, Visit

PAGES = [
    ("", "/sign-in"),
    ("", "/pair/"),
    ("dispatcher", "/phones/"),
    ("administrator", "/sign-ins/"),
    ("county", "/own/"),
    ("administrator", "/reads/"),
    ("dispatcher", f"/day/{DAY}"),
    ("dispatcher", "/day/2026-06-14"),
    ("dispatcher", f"/day/{DAY}/why?site=W-1193"),
    ("dispatcher", f"/day/{DAY}/what-if?longer=Hester Thistlecroft&more=60"),
    ("dispatcher", f"/day/{DAY}/version/1"),
    ("dispatcher", "/due/"),
    ("dispatcher", "/reports/"),
    ("dispatcher", "/moving-in/"),
    ("county", "/letters/"),
    ("county", "/reports/firms/"),
    ("county", "/deadlines/?ahead=365"),
    ("dispatcher", "/high-water/?stage=18"),
    ("county", "/numbers/"),
    ("county", "/numbers/2025"),
    ("dispatcher", "/sites/21"),
    ("technician", f"/day/{DAY}"),
    ("technician", f"/gate/21/{DAY}"),
    ("technician", f"/gate/21/{DAY}/record"),
    ("technician", "/hydraulics/"),
    ("technician", "/carry/"),
    ("county", "/county/"),
    ("county", "/county/sites/21"),
    ("county", "/county/?kind=holding tank&late=365"),
    ("dispatcher", "/sites/21/edit/site/21"),
    ("dispatcher", "/sites/pairs"),
    ("dispatcher", "/sites/21/merge/22"),
    ("dispatcher", "/sites/21/sale"),
    ("county", "/sites/21"),
    ("county", "/due/"),
    ("county", "/ogc/?f=html"),
    ("county", "/ogc/collections/overdue/items?f=html"),
    ("county", "/ogc/collections/systems/items/1?f=html"),
    ("county", "/nothing"),
    ("county", "/county/?kind=spaceship"),
]
"""The role, and an address: pages, empty states, and errors."""


@pytest.mark.parametrize(("role", "path"), PAGES)
def test_a_page_is_accessible_and_fits_its_screen(
    visit: Callable[..., Visit], role: str, path: str
) -> None:
    """WCAG 2.2 A and AA as far as axe-core can tell, everything unfolded, then as a phone."""
    page = visit(role, WIDE).opened(path)
    for width in (WIDE, PHONE):
        here = visit(role, width)
        if page.locator("#map").count():
            here.near_the_map()
        here.unfold()
        assert here.wcag() == [], width
        assert here.sideways() == 0, width
        assert here.complaints == [], width


def test_the_gate_sheet_is_readable_in_sunlight(visit: Callable[..., Visit]) -> None:
    """Contrast 7:1, the rule of WCAG 2.2 AAA (1.4.6)."""
    here = visit("technician", PHONE)
    here.opened(f"/gate/21/{DAY}")
    here.unfold()
    assert here.axe("color-contrast-enhanced") == []


def test_the_check_for_contrast_finds_what_is_too_pale(visit: Callable[..., Visit]) -> None:
    here = visit("technician", PHONE)
    page = here.opened(f"/gate/21/{DAY}")
    page.evaluate("document.querySelector('h1').style.color = '#8a8a8a'")
    assert len(here.axe("color-contrast-enhanced")) == 1


NOTE_FOCUS = """() => {
  window.focused = [];
  document.addEventListener('focusin', ({target}) => {
    const look = getComputedStyle(target);
    window.focused.push([target.dataset.number ?? null,
      look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) >= 2]);
  });
  document.body.tabIndex = -1;
  document.body.focus();
}"""
TABBABLE = """() => [...document.querySelectorAll(
    'a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex="0"]')]
  .filter((one) => !one.disabled && one.checkVisibility({visibilityProperty: true}))
  .map((one, number) => one.dataset.number = String(number)).length"""


@pytest.mark.parametrize(
    ("role", "path"),
    [
        ("", "/sign-in"),
        ("technician", f"/gate/21/{DAY}"),
        ("technician", f"/day/{DAY}"),
        ("county", "/county/"),
        ("county", "/sites/21"),
    ],
)
def test_the_keyboard_reaches_everything_in_order_and_shows_where_it_is(
    visit: Callable[..., Visit], role: str, path: str
) -> None:
    here = visit(role)
    page = here.opened(path)
    if page.locator("#map").count():
        here.near_the_map()
    page.evaluate(NOTE_FOCUS)
    there = page.evaluate(TABBABLE)
    for _ in range(there + 5):
        page.keyboard.press("Tab")
    seen: list[int] = []
    for number, shown in page.evaluate("window.focused"):
        if number is None or int(number) in seen:
            continue
        assert shown, f"no sign of the focus at element {number}"
        seen.append(int(number))
    assert seen == sorted(seen)
    assert len(seen) == there > 2


def test_the_first_thing_that_the_keyboard_reaches_leads_past_the_top(
    visit: Callable[..., Visit],
) -> None:
    here = visit("county")
    page = here.opened("/due/")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"
