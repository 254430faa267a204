"""Planned days and holds, on both stores."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from registry.records.visits import Hold
from registry.store import days
from registry.store.tables import FirmRow, JurisdictionRow, RouteRow, SiteRow, TechnicianRow
from tests.build import A_DAY, day, route, stop, waiting
from tests.store import rows

if TYPE_CHECKING:
    from registry.store import Session, Store


@pytest.fixture
def firm(session: "Session") -> int:
    """A firm with one technician (id 1) and one site (id 1)."""
    session.add(FirmRow(id=1, name="Invented Firm"))
    session.add(JurisdictionRow(id=1, name="Invented County"))
    session.flush()
    session.add(
        TechnicianRow(
            id=1, firm_id=1, name="Invented Person", initials="IP",
            shift_from_min=480, shift_to_min=1020,
        )
    )  # fmt: skip
    session.add(SiteRow(id=1, key="A-1", firm_id=1, jurisdiction_id=1))
    session.flush()
    return 1


def test_a_saved_day_comes_back_as_it_was(session: "Session", firm: int, now: datetime) -> None:
    planned = day(route(stop(), stop(kind="lunch")), waiting=(waiting(),), firm_id=firm)
    saved = days.save_day(session, planned, made_by="office", now=now)
    session.expire_all()
    assert days.day_of(session, firm, A_DAY) == saved
    assert saved.made_at == now


def test_a_route_kept_before_the_height_of_its_start_was_told_still_opens(
    session: "Session", firm: int, now: datetime
) -> None:
    days.save_day(session, day(route(stop()), firm_id=firm), made_by="office", now=now)
    row = session.scalars(select(RouteRow)).one()
    later = {"start_yard_s", "end_yard_s"}
    row.body = {key: value for key, value in row.body.items() if key not in later}
    session.flush()
    session.expire_all()
    found = days.day_of(session, firm, A_DAY)
    assert found is not None
    assert (found.routes[0].start_yard_s, found.routes[0].end_yard_s) == (None, None)


def test_the_newest_plan_of_a_date_is_in_force(
    session: "Session", firm: int, now: datetime
) -> None:
    days.save_day(session, day(route(stop()), firm_id=firm, cost=2.0), made_by="office", now=now)
    days.save_day(session, day(firm_id=firm, cost=1.0), made_by="office", now=now)
    found = days.day_of(session, firm, A_DAY)
    assert found is not None
    assert (found.cost, found.routes) == (1.0, ())


def test_a_date_that_was_not_planned_has_no_day(session: "Session", firm: int) -> None:
    assert days.day_of(session, firm, date(2026, 6, 16)) is None


def test_a_second_hold_of_a_site_replaces_the_first(
    session: "Session", firm: int, now: datetime
) -> None:
    days.put_hold(session, firm, Hold(site_id=1, on_date=A_DAY), now)
    days.put_hold(session, firm, Hold(site_id=1, on_date=A_DAY, technician_id=1), now)
    assert [one.technician_id for one in days.holds_on(session, firm, A_DAY)] == [1]
    days.release_hold(session, firm, 1, A_DAY)
    assert days.holds_on(session, firm, A_DAY) == []


def test_people_who_hold_one_visit_at_once_all_succeed_and_one_hold_is_kept(
    store: "Store", now: datetime
) -> None:
    """Found by the test of mixed use: the second of two was told of a fault."""
    with store.session() as session:
        firm = rows.firm(session)
        site_id = rows.site(session)

    def hold(name: str) -> None:
        with store.session() as session:
            days.put_hold(session, firm, Hold(site_id=site_id, on_date=A_DAY, held_by=name), now)

    with ThreadPoolExecutor(6) as hands:
        assert list(hands.map(hold, "abcdef")) == [None] * 6
    with store.reading() as session:
        assert len(days.holds_on(session, firm, A_DAY)) == 1
