"""Gloved hands that record a usual visit on a phone, their taps counted."""

from typing import Any

from playwright.sync_api import Page

from tests.web.visit import DAY, Visit

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
READY = "document.querySelector('#record.has-script') !== null"
FORM = """async () => (await fetch(document.getElementById('record').dataset.form
  + window.location.search)).json()"""


class Hands:
    """Gloved hands on a phone: each tap is counted, digits of the number pad apart."""

    def __init__(self, page: Page) -> None:
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
    limits = form["checks"]["kinds"][kind]
    usual = limits["usual"] or limits["possible"]
    return f"{(last[kind] or sum(usual) / 2) * 1.04:.2f}"


def names(page: Page, selector: str) -> list[str]:
    """Return the names of fields."""
    found: list[str] = page.eval_on_selector_all(selector, "all => all.map((one) => one.name)")
    return list(dict.fromkeys(found))


def arrived(here: Visit, site_id: int, tasks: tuple[str, ...]) -> tuple[Hands, dict[str, Any]]:
    """Open the form of a visit, arrive, and say that all was found in order."""
    page, hands = here.page, Hands(here.page)
    asked = "&".join(f"task={one}" for one in tasks)
    here.opened(f"/gate/{site_id}/{DAY}/record?{asked}")
    here.until(READY)
    form: dict[str, Any] = page.evaluate(FORM)
    assert set(tasks) <= {one["task"] for one in form["tasks"]}
    if form["off_route"]:  # not a usual visit: a reason more than on the own route
        page.locator('label.key:has(input[name="off_route"])').first.tap()
    hands.tap("button[data-now=arrived_at]")
    hands.tap("#all-in-order")
    return hands, form


def work(here: Visit, hands: Hands, form: dict[str, Any]) -> None:
    """Do the tasks of a visit, return the system to service and close."""
    page = here.page
    hands.take_readings(form)
    if page.locator("#all-done").is_visible():  # shown where there are several tasks
        hands.tap("#all-done")
    else:
        hands.choose(names(page, 'input[name$=".outcome"]')[0], "done")
    for group in page.locator(".return-group").all():
        group.locator(".all-yes").tap()
        hands.taps += 1
    hands.tap('button[name="ending"][value="done"]')
