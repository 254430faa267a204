"""The Day page orders several working days together."""

import time
from datetime import date, timedelta
from typing import TYPE_CHECKING

from registry.services.make_demo import county_today
from registry.store import days, jobs
from registry.wiring import Parts
from tests.pages.visitors import DAY, OWN, Client, sign_in
from web.forms import DAYS_TOGETHER

if TYPE_CHECKING:
    from tests.demo import Demo


def test_the_page_offers_how_many_days_are_ordered_together(client: Client) -> None:
    shown = client("dispatcher").get(f"/day/{DAY}").text
    for one in DAYS_TOGETHER:
        assert f'<option value="{one}">' in shown
    assert 'name="days"' not in client("technician").get(f"/day/{DAY}").text


def test_another_number_of_days_is_refused_and_nothing_begins(client: Client, parts: Parts) -> None:
    for wrong in ("0", "400", "many", ""):
        answer = client("dispatcher").post(f"/day/{DAY}/order", data={"days": wrong}, headers=OWN)
        assert answer.status_code == 422
        assert "Choose from the list how many days" in answer.text
    with parts.store.reading() as session:
        assert not jobs.open_jobs(session)


def test_two_days_are_ordered_by_one_press(parts: Parts, own_demo: "Demo") -> None:
    from web.app import create_app

    app = create_app(parts, secret="for tests only")  # noqa: S106
    app.config["SEARCH_S"] = 0.5
    office = app.test_client()
    sign_in(office, "dispatcher", own_demo.password("dispatcher"))
    on_date = _monday_after(county_today())
    answer = office.post(f"/day/{on_date}/order", data={"days": "2"}, headers=OWN)
    assert answer.status_code == 302
    while True:
        with parts.store.reading() as session:
            if not jobs.open_jobs(session):
                break
        time.sleep(0.2)
    with parts.store.reading() as session:
        both = (on_date, on_date + timedelta(days=1))
        assert days.planned_dates(session, 1, *both) == list(both)
    assert "The days are ordered." in office.get(f"/day/{on_date}/progress.json").text


def _monday_after(on_date: date) -> date:
    return on_date + timedelta(days=7 - on_date.weekday())
