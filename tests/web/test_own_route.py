"""A plan that is changed while a technician's page is open is told there, and seen once."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from registry.services.make_demo import county_today
from registry.store import days, open_store
from registry.store.tables import UserRow
from tests.browser import wcag_violations
from tests.web.visit import DAY, PHONE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.demo import Demo

SHOWN = "document.getElementById('route-watch')?.hidden === false"
LOOKED_AT = "document.dispatchEvent(new Event('visibilitychange'))"


def give_away_a_visit(demo: "Demo") -> tuple[int, str]:
    """Take the technician's last visit off the route; return the first one and the lost one."""
    store = open_store(demo.store_url)
    with store.session() as session:
        mine = session.scalar(select(UserRow.technician_id).where(UserRow.name == "technician"))
        day = days.day_of(session, 1, county_today())
        assert day is not None
        (own,) = [one for one in day.routes if one.technician_id == mine]
        lost = own.visits[-1]
        kept = replace(own, stops=tuple(one for one in own.stops if one is not lost))
        routes = tuple(kept if one is own else one for one in day.routes)
        days.save_day(
            session, replace(day, routes=routes), made_by="the office", now=datetime.now(UTC)
        )
    store.close()
    return own.visits[0].site_id, lost.site


def test_a_changed_route_is_shown_on_the_open_page_until_it_is_seen(
    demo: "Demo",
    server: Any,
    new_page: Callable[..., "Page"],
    sign_in: Callable[["Page", str], None],
) -> None:
    page = new_page(server.url, viewport={"width": PHONE, "height": 780}, has_touch=True)
    here = Visit(page)
    sign_in(page, "technician")
    here.opened(f"/day/{DAY}")
    here.until(f"localStorage.getItem('riserway-plan-{DAY}') === '1'")
    first, lost = give_away_a_visit(demo)
    page.evaluate(LOOKED_AT)
    here.until(SHOWN)
    assert "Your route was changed at" in page.inner_text("#route-watch")
    assert f"{lost}" in page.inner_text("#route-watch")
    here.opened(f"/gate/{first}/{DAY}/record")
    here.until(SHOWN)
    assert here.sideways() == 0
    assert wcag_violations(page) == []
    page.locator("#route-watch button").tap()
    here.until("document.getElementById('route-watch').hidden")
    here.opened(f"/gate/{first}/{DAY}")
    page.evaluate(LOOKED_AT)
    here.until(f"localStorage.getItem('riserway-plan-{DAY}') === '2'")
    assert page.locator("#route-watch").is_hidden()
    assert here.complaints == []
