"""The open Day page of the office tells what happens while it stands open."""

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from registry.records.day_notes import DayNote, NoteKind
from registry.services.make_demo import county_today
from registry.store import day_notes, days, open_store
from tests.browser import wcag_violations
from tests.store.rows import NOW
from tests.web.visit import DAY, WIDE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

    from tests.demo import Demo

LOOKED_AT = "document.dispatchEvent(new Event('visibilitychange'))"
SILENT = {"technician": "Hester Thistlecroft", "site": "W-1119", "said": "on site too long.",
          "phone": "555 0110"}  # fmt: skip


def note_a_locked_gate(demo: "Demo") -> str:
    """Note that the first gate of the day is locked; return its site's number."""
    store = open_store(demo.store_url)
    with store.session() as session:
        day = days.day_of(session, 1, county_today())
        assert day is not None
        stop = day.routes[0].visits[0]
        note = DayNote(
            on_date=county_today(),
            kind=NoteKind.NOT_REACHED,
            at_min=0,
            technician_id=day.routes[0].technician_id,
            site_id=stop.site_id,
            noted_by="technician",
        )
        day_notes.add_note(session, 1, note, NOW)
    store.close()
    return stop.site


def with_somebody_silent(route: "Route") -> None:
    """Answer as the server does, and as if somebody were not heard of."""
    told = route.fetch().json()
    route.fulfill(json=told | {"alone": [SILENT]})


def test_what_is_noted_and_who_is_silent_is_told_on_the_open_page(
    demo: "Demo",
    server: Any,
    new_page: Callable[..., "Page"],
    sign_in: Callable[["Page", str], None],
) -> None:
    page = new_page(server.url, viewport={"width": WIDE, "height": 900})
    here = Visit(page)
    sign_in(page, "dispatcher")
    here.opened(f"/day/{DAY}")
    assert page.locator("#alone-live").is_hidden()
    assert page.locator(".notes-title").is_hidden()
    site = note_a_locked_gate(demo)
    page.evaluate(LOOKED_AT)
    here.until(f"document.querySelector('.day-notes')?.textContent.includes({json.dumps(site)})")
    assert f"{site} not reached" in page.inner_text(".day-notes")
    assert page.locator("#newer-plan").is_hidden()
    page.route("**/running.json", with_somebody_silent)
    page.evaluate(LOOKED_AT)
    # Who is silent by the clock may stand there already: the hour of the test is the real one.
    told = "Hester Thistlecroft on site too long. Phone: 555 0110."
    here.until(f"document.getElementById('alone-live').innerText.includes({json.dumps(told)})")
    assert page.locator("#alone-live").is_visible()
    assert wcag_violations(page) == []
    assert here.complaints == []
