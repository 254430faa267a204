"""A whole visit of every kind on a phone of 360 px, the server gone in the middle of each."""

from collections.abc import Iterator
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from tests.web.hands import KINDS, arrived, work
from tests.web.phone import Office, Phone
from tests.web.visit import DAY, PHONE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tests.demo import Demo

SELDOM = {
    "alarm call": (7, ("alarm call",)),
    "after a flood": (18, ("after-flood check",)),
    "at a sale": (30, ("sale inspection",)),
    "start-up": (31, ("start-up",)),
}
"""Kinds of visit that no obligation asks for, as in ``KINDS``."""
OWED = "SELECT system_id, task, last_done, due_on FROM obligation WHERE site_id = :site"
CLOSED = """document.body.dataset.kept === 'yes'
  || document.querySelector('#complaints .errors') !== null"""
RECORDED = "SELECT id FROM visit WHERE site_id = :site AND on_date = :day"


@pytest.fixture
def office(demo: "Demo") -> Iterator[Office]:
    """A server of the invented county, running, on the date on which the county lives."""
    made = Office(demo, "--on", DAY)
    made.start()
    yield made
    made.stop()


def test_a_visit_of_every_kind_outlives_the_server_and_is_found_wherever_it_counts(
    office: Office, browser: "Browser"
) -> None:
    """In the store, the due dates, the site file and the report for owner and authority."""
    context = browser.new_context(
        base_url=office.url, viewport={"width": PHONE, "height": 780}, has_touch=True
    )
    with closing(context):
        context.new_page()
        phone = Phone(context, office)
        phone.technician()
        kinds = {**KINDS, **SELDOM}
        begun = {}
        for kind, (site_id, tasks) in kinds.items():
            here = Visit(context.new_page())
            begun[kind] = (here, *arrived(here, site_id, tasks))
        office.stop()
        for kind, (here, hands, form) in begun.items():
            here.page.bring_to_front()  # the browser lets other tabs sleep
            work(here, hands, form)
            here.until(CLOSED)
            assert here.page.locator("#complaints .errors").count() == 0, (
                kind,
                here.page.inner_text("#complaints"),
            )
        phone.until_waiting(len(kinds))  # the arrivals were sent
        office.start()
        phone.page.bring_to_front()
        phone.page.goto("/carry/")
        phone.until_waiting(0)
        for kind, (site_id, _) in kinds.items():
            tasks = begun[kind][2]["tasks"]
            done = {(task["system_id"], task["task"]) for task in tasks}
            ((visit_id,),) = office.rows(RECORDED, site=str(site_id), day=DAY)
            for system_id, task, last_done, due_on in office.rows(OWED, site=str(site_id)):
                if (system_id, task) in done:
                    assert last_done == DAY < due_on, (kind, task)
            phone.page.goto(f"/sites/{site_id}")
            assert phone.page.locator(f"a[href='/visits/{visit_id}/report']").count(), kind
            phone.page.goto(f"/visits/{visit_id}/report")
            said = phone.page.inner_text("main").lower()
            assert [one["name"] for one in tasks if one["name"].lower() not in said] == [], kind
            assert phone.sideways() == 0
