"""A whole visit recorded in a real browser on a phone of 360 px, its taps counted."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.browser import wcag_violations
from tests.web.visit import DAY, PHONE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Page

CASES = Path(__file__).parent.parent / "unit/field/reading_cases.json"
MOST_TAPS = 25
"""A usual visit; common practice, no source: what a glove can do before a technician gives up."""
LEAST_PX = 44
SITE = 29
"""A gravity system with filter and observation pipe."""
USUAL = "task=inspection&task=filter"
KINDS = {
    "two systems, what is due": (27, ()),
    "gravity with a filter": (29, ("inspection", "filter")),
    "pump tank with a filter": (5, ("inspection", "filter", "pump test")),
    "pressure field, 4 laterals": (104, ("inspection", "filter", "pump test", "purge")),
    "mound, 4 laterals": (53, ("inspection", "filter", "pump test", "purge", "bed check")),
    "sand filter, 4 laterals": (21, ("inspection", "filter", "pump test", "purge", "bed check")),
    "secondary treatment": (34, ("treatment check", "inspection")),
    "pump-out": (6, ("pump-out",)),
}
"""Kind of visit → a site of the invented county, and what is done there."""

EVALUATED = """async ([cases, rules]) => {
  const {answersTo, checkPair, checkReading} = await import('/static/record-checks.js');
  const readings = cases.readings.map((one) => checkReading(rules, one.text, rules.kinds[one.kind],
    {value: one.last ?? null, unit: one.last_unit, on: one.last_on}));
  const pairs = cases.pairs.map((one) => checkPair(
    rules, rules.pairs.find((pair) => pair.code === one.pair), one.values, one.befores, one.file));
  return {readings, answers: readings.map(answersTo), pairs};
}"""

SMALL = """() => [...document.querySelectorAll('#record :is(button, summary, select, .key, input)')]
  .filter((one) => one.checkVisibility() && !one.closest('.key')?.contains(one.parentElement))
  .filter((one) => !['checkbox', 'radio', 'hidden'].includes(one.type))
  .map((one) => [one.outerHTML.slice(0, 90), one.getBoundingClientRect().height])
  .filter(([, height]) => height < 44)"""


class Hands:
    """Gloved hands on a phone: each tap is counted, digits of the number pad apart."""

    def __init__(self, page: "Page") -> None:
        self.page = page
        self.taps = self.digits = 0

    def tap(self, selector: str) -> None:
        """Tap the first thing that fits a selector."""
        self.page.locator(selector).first.tap()
        self.taps += 1

    def choose(self, name: str, word: str) -> None:
        """Tap a key by the name of its field and its word."""
        self.tap(f'label.key:has(input[name="{name}"][value="{word}"])')

    def type(self, name: str, said: str) -> None:
        """Tap a field and type on the number pad."""
        self.page.locator(f'input[name="{name}"]').click()  # a tap right after a scroll drops keys
        self.page.keyboard.type(said)
        self.taps += 1
        self.digits += len(said)

    def take_readings(self, form: dict[str, Any]) -> None:
        """Give every reading that is needed and not there yet, as a usual visit finds it."""
        if self.page.locator("button.zero").count():
            self.tap("button.zero")
        for reading in self.page.locator(".reading").all():
            name = reading.get_attribute("data-reading")
            if "if there is one" in reading.locator(".about").inner_text():
                continue
            keys, field = reading.locator(".keys input"), reading.locator(".field input")
            if keys.count() and not reading.locator(".keys input:checked").count():
                self.choose(f"{name}.value", keys.first.get_attribute("value") or "")
            elif not keys.count() and not field.input_value():
                kind = reading.get_attribute("data-kind") or ""
                system = reading.get_attribute("data-system") or ""
                self.type(f"{name}.value", usual_value(form, kind, system))
                if kind == "drawdown time":
                    field.blur()


def usual_value(form: dict[str, Any], kind: str, system: str) -> str:
    """Return what a usual visit reads: a little off the last time, all ways to one figure alike."""
    asks = [one for task in form["tasks"] for one in task["readings"]]
    last = {one["kind"]: one["last"] for one in asks if str(one["system_id"]) == system}
    rate_gpm = last.get("pump rate") or 24.0
    figures = form["on_file"][system]["figures"]
    if kind == "drawdown time":
        return "2"
    if kind == "drawdown":
        return f"{2 * rate_gpm * 1.02 / figures['gal_per_in']:.2f}"
    if kind == "counter":
        return f"{(last['counter'] or 0) + 900:.0f}"
    if kind == "hour meter":
        pumped_gal = 900 * figures.get("gal_per_dose", rate_gpm)
        return f"{(last['hour meter'] or 0) + pumped_gal / rate_gpm / 60:.2f}"
    usual = form["checks"]["kinds"][kind]["usual"] or [0, 1000]
    return f"{(last[kind] or sum(usual) / 2) * 1.04:.2f}"


def names(page: "Page", selector: str) -> list[str]:
    """Return the names of fields."""
    found: list[str] = page.eval_on_selector_all(selector, "all => all.map((one) => one.name)")
    return list(dict.fromkeys(found))


def usual_visit(here: Visit, site_id: int, tasks: tuple[str, ...]) -> Hands:
    """Record a visit in which all is as it should be; return the hands that did it."""
    page, hands = here.page, Hands(here.page)
    asked = "&".join(f"task={one}" for one in tasks)
    here.opened(f"/gate/{site_id}/{DAY}/record?{asked}")
    here.until("document.querySelector('#record.has-script') !== null")
    form = page.evaluate(
        "async () => (await fetch(document.getElementById('record').dataset.form"
        " + window.location.search)).json()"
    )
    assert set(tasks) <= {one["task"] for one in form["tasks"]}
    if form["off_route"]:  # not a usual visit: a reason more than on the own route
        page.locator('label.key:has(input[name="off_route"])').first.tap()
    hands.tap("button[data-now=arrived_at]")
    hands.tap("#all-in-order")
    hands.take_readings(form)
    if page.locator("#all-done").count():
        hands.tap("#all-done")
    else:
        hands.choose(names(page, 'input[name$=".outcome"]')[0], "done")
    for group in page.locator(".return-group").all():
        group.locator(".all-yes").tap()
        hands.taps += 1
    hands.tap('button[name="ending"][value="done"]')
    page.locator("#complaints .errors, .report-page h1").first.wait_for()
    assert page.url.endswith("/report"), page.inner_text("#complaints")
    return hands


def test_a_usual_visit_of_every_kind_takes_few_taps_and_no_typing_but_numbers(
    server: Any, new_page: Callable[..., "Page"], sign_in: Callable[["Page", str], None]
) -> None:
    page = new_page(server.url, viewport={"width": PHONE, "height": 780}, has_touch=True)
    here = Visit(page)
    sign_in(page, "technician")
    taps = {}
    for kind, (site_id, tasks) in KINDS.items():
        hands = usual_visit(here, site_id, tasks)
        taps[kind] = hands.taps
        assert "done" in page.inner_text("main"), kind
        assert here.complaints == [], kind
    assert max(taps.values()) <= MOST_TAPS, taps
    assert len(here.printed().pages) == 1
    assert wcag_violations(page) == []
    assert here.sideways() == 0


def test_a_number_that_cannot_be_is_said_at_once_and_a_loose_lid_keeps_the_visit_open(
    server: Any, new_page: Callable[..., "Page"], sign_in: Callable[["Page", str], None]
) -> None:
    page = new_page(server.url, viewport={"width": PHONE, "height": 780}, has_touch=True)
    here = Visit(page)
    sign_in(page, "technician")
    here.opened(f"/gate/{SITE}/{DAY}/record?{USUAL}")
    here.until("document.querySelector('#record.has-script') !== null")
    scum = page.locator('.reading[data-kind="scum"]').first
    scum.locator(".field input").fill("OK")
    scum.locator(".field input").blur()
    assert "is no number" in scum.locator(".verdict").inner_text()
    scum.locator(".field input").fill("20")
    scum.locator(".field input").blur()
    assert "is unusual" in scum.locator(".verdict").inner_text()
    scum.locator(".verdict label.key").first.tap()
    assert scum.locator(".verdict input:checked").count() == 1
    page.locator("#all-in-order").tap()
    page.locator("#return-tanks .one-by-one > summary").tap()
    lids = '.state[data-key="lids:0"][data-half="as_left"]'
    page.locator(f"{lids} label.key", has_text="one loose").tap()
    assert page.locator('.reason[data-key="lids:0"]').is_visible()
    page.locator('button[name="ending"][value="done"]').tap()
    here.until("document.querySelector('#complaints .errors') !== null")
    said = page.inner_text("#complaints")
    assert "found all on and fastened, left one loose. Say why." in said
    assert page.locator('input[name$=".value"][value="20"]').count() == 0  # typed, still there
    assert scum.locator(".field input").input_value() == "20"
    assert wcag_violations(page) == []
    here.unfold()
    assert page.evaluate(SMALL) == []
    assert here.sideways() == 0


def test_the_page_of_a_visit_is_readable_in_sunlight(visit: Callable[..., Visit]) -> None:
    """Contrast 7:1, the rule of WCAG 2.2 AAA (1.4.6)."""
    here = visit("technician", PHONE)
    here.opened(f"/gate/21/{DAY}/record")
    here.until("document.querySelector('#record.has-script') !== null")
    assert len(here.printed().pages) == 2  # the paper sheet of a sand filter, to be typed in later
    here.unfold()
    assert here.axe("color-contrast-enhanced") == []
    assert here.wcag() == []
    assert here.sideways() == 0


def test_the_phone_says_of_each_reading_what_the_server_says(visit: Callable[..., Visit]) -> None:
    """Both evaluate the same tables; the cases are those of tests/unit/field."""
    from registry.field.reading_checks import checks_json
    from registry.records.reading_kinds import ReadingKind
    from registry.store.bodies import from_body

    cases = json.loads(CASES.read_text(encoding="utf-8"))
    kinds = {code: from_body(ReadingKind, body) for code, body in cases["kinds"].items()}
    here = visit("technician", PHONE)
    page = here.opened(f"/gate/21/{DAY}/record")
    told = page.evaluate(EVALUATED, [cases, json.loads(json.dumps(checks_json(kinds)))])
    for case, found, answers in zip(
        cases["readings"], told["readings"], told["answers"], strict=True
    ):
        assert [one["rule"] for one in found] == case["rules"], case["why"]
        assert {one["level"] for one in found} <= {case.get("level")}, case["why"]
        if "words" in case:
            assert found[0]["words"] == case["words"]
        if "contains" in case:
            assert case["contains"] in " ".join(one["words"] for one in found)
        if "answers" in case:
            assert answers == case["answers"]
    for case, found in zip(cases["pairs"], told["pairs"], strict=True):
        assert bool(found) == case["asks"], case["why"]
        if "words" in case:
            assert found[0]["words"] == case["words"]
