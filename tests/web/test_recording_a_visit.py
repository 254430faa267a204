"""A whole visit recorded in a real browser on a phone of 360 px, its taps counted."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser import wcag_violations
from tests.web.hands import FORM, KINDS, Hands, arrived, work
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
KEPT_OPEN = """async (records) => {
  const {complaintsOf} = await import('/static/closing-checks.js');
  const told = await (await fetch(document.getElementById('record').dataset.form)).json();
  const answer = await fetch('/records', {method: 'POST', body: JSON.stringify({records}),
    headers: {'Content-Type': 'application/json'}});
  const {records: answers} = await answer.json();
  return records.map((one, number) => [complaintsOf(one, told), answers[number].complaints]);
}"""

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


def usual_visit(here: Visit, site_id: int, tasks: tuple[str, ...]) -> Hands:
    """Record a visit in which all is as it should be; return the hands that did it."""
    page = here.page
    hands, form = arrived(here, site_id, tasks)
    work(here, hands, form)
    page.locator("#complaints .errors, .report-page h1").first.wait_for()
    assert page.url.endswith("/report"), page.inner_text("#complaints")
    return hands


@pytest.mark.long  # every kind is recorded without signal in the first suite
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


def in_turn(rows: list[Any], *ways: dict[str, str]) -> list[dict[str, str]]:
    """Answer rows of a form in one way after the other."""
    return [
        {name: str(value or "") for name, value in row.items()} | ways[number % len(ways)]
        for number, row in enumerate(rows)
    ]


def open_visits(form: dict[str, Any]) -> list[dict[str, Any]]:
    """Return records of a visit, each with much that keeps it open."""
    asks = [
        {name: ask[name] for name in ("kind", "system_id", "component_id")}
        for task in form["tasks"]
        for ask in task["readings"]
    ]
    tasks = [{name: task[name] for name in ("task", "system_id")} for task in form["tasks"]]
    states = [
        {name: state[name] for name in ("what", "component_id")}
        for state in form["closing"]["states"]
    ]
    items = [{"item": one["item"]} for one in form["closing"]["items"]]
    whole = {"site_id": form["site_id"], "on_date": form["on_date"], "kind": "visit"}
    whole |= {"arrived_at": "09:00", "left_at": "10:00", "off_route": "sent by the office"}
    whole["outcomes"] = in_turn(tasks, {"outcome": ""})
    done = {"ending": "done", "hazards_seen": "yes"}
    wrong = {
        "states": in_turn(
            states, {"as_found": "off", "as_left": "off"}, {"as_left": "2"}, {"as_found": "1"}
        ),
        "readings": in_turn(
            asks, {"value": "OK"}, {"value": "0.01"}, {"value": "-3"}, {"note": "no access"}
        ),
        "outcomes": in_turn(tasks, {"outcome": "done"}, {"outcome": "partly"}, {"outcome": ""}),
        "answers": in_turn(items, {"said": "open"}, {"said": "changed"}, {"said": "yes"}),
    }
    moved = {
        "states": in_turn(states, {"as_found": "1", "as_left": "2"}),
        "readings": in_turn(asks, {"value": "12"}, {"value": "9999"}),
        "outcomes": in_turn(tasks, {"outcome": "done"}),
        "answers": in_turn(items, {"said": "yes"}),
    }
    made = [
        done,
        {"ending": "done"},
        {"ending": "not reached", "off_route": ""},
        {"ending": "had to leave", "hazards_seen": "yes", **wrong},
        {**done, **wrong},
        {**done, **moved},
    ]
    return [
        whole | one | {"id": f"{n}1111111-1111-4111-8111-111111111111"}
        for n, one in enumerate(made, 1)
    ]


@pytest.mark.parametrize("site_id", [21, 27])
def test_what_keeps_a_visit_open_is_said_on_the_phone_as_the_server_says_it(
    visit: Callable[..., Visit], site_id: int
) -> None:
    """Without signal the phone alone keeps a technician from leaving a valve shut."""
    here = visit("technician", PHONE)
    page = here.opened(f"/gate/{site_id}/{DAY}/record")
    here.until("document.querySelector('#record.has-script') !== null")
    for phone, server in page.evaluate(KEPT_OPEN, open_visits(page.evaluate(FORM))):
        assert phone == server
        assert phone
