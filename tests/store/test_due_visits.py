from datetime import date, timedelta

import pytest
from sqlalchemy import event

from registry.services.due_visits import due_visit, due_visits
from registry.services.recompute_due import recompute_due
from registry.store import Session
from registry.store.tables import (
    HoldRow,
    LicenceRow,
    ServiceWindowRow,
    SiteRow,
    TechnicianRow,
    WindowExceptionRow,
)
from tests.store.due_rows import add, county, house, visit

TODAY = date(2026, 6, 15)
NEXT_YEAR = timedelta(days=365)


@pytest.fixture
def here(session: Session, now) -> Session:
    """House 1 is 10 days overdue, 2 is due in 20 days, 3 in 40, 4 belongs to another firm."""
    county(session)
    for number, ahead in ((1, -10), (2, 20), (3, 40), (4, -10)):
        house(session, number, "holding tank", components=["septic tank"])
        visit(session, number, TODAY - NEXT_YEAR + timedelta(days=ahead))
    session.get_one(SiteRow, 4).firm_id = 2
    session.flush()
    recompute_due(session, TODAY)
    return session


def test_each_site_due_within_its_horizon_is_one_visit_of_its_own_firm(here):
    found = due_visits(here, 1, TODAY)
    assert [(one.site_id, one.days_overdue) for one in found] == [(1, 10), (2, -20)]
    assert [one.site_id for one in due_visits(here, 1, TODAY, horizon_days=60)] == [1, 2, 3]
    assert [one.site_id for one in due_visits(here, 2, TODAY)] == [4]
    assert found[0].tasks == ("inspection",)
    assert found[0].jurisdiction == "Own County"


def test_of_many_sites_those_worth_most_are_kept_and_held_ones_always(here, now):
    assert [one.site_id for one in due_visits(here, 1, TODAY, 60, most=1)] == [1]
    add(here, HoldRow(firm_id=1, site_id=3, on_date=TODAY, held_at=now, note="gate"))
    found = due_visits(here, 1, TODAY, 60, most=1)
    assert [one.site_id for one in found] == [3]
    assert found[0].hold is not None
    assert [one.site_id for one in due_visits(here, 1, TODAY)] == [1, 2, 3]


def test_one_site_is_answered_like_among_all(here):
    assert due_visit(here, 1, TODAY) == due_visits(here, 1, TODAY)[0]
    assert due_visit(here, 3, TODAY) is None
    assert due_visit(here, 99, TODAY) is None
    here.get_one(SiteRow, 1).active = False
    here.flush()
    assert due_visit(here, 1, TODAY) is None


def test_windows_water_and_licences_come_from_the_rows(here):
    add(
        here,
        ServiceWindowRow(site_id=1, weekday=TODAY.weekday(), opens_min=540, closes_min=660),
        WindowExceptionRow(site_id=2, on_date=TODAY, note="away"),
        TechnicianRow(
            id=1, firm_id=1, name="Own", initials="OW", shift_from_min=480, shift_to_min=1020
        ),
        LicenceRow(technician_id=1, kind="maintenance"),
    )
    here.get_one(SiteRow, 1).water_available_gal = 1000.0
    here.flush()
    first, second = due_visits(here, 1, TODAY)
    assert (first.windows, first.water_bring_gal) == (((540, 660),), 0)
    assert (second.windows, second.closed_why) == ((), f"Closed on {TODAY}: away.")
    assert first.licences == ("maintenance",)


def test_the_number_of_questions_does_not_grow_with_the_sites(here, store):
    asked: list[str] = []

    def note(*args) -> None:
        asked.append(args[2])

    due_visits(here, 1, TODAY)
    event.listen(store.engine, "before_cursor_execute", note)
    due_visits(here, 1, TODAY, 0)
    few = len(asked)
    asked.clear()
    due_visits(here, 1, TODAY, 60)
    event.remove(store.engine, "before_cursor_execute", note)
    assert len(asked) == few > 0
