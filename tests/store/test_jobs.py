"""Long jobs and who may ask for them, on both stores."""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from registry.errors import AccessError, ConflictError, NotFoundError
from registry.records.changes import Role, Viewer
from registry.services import order_day
from registry.store import jobs
from registry.store.tables import FirmRow
from tests.build import A_DAY

if TYPE_CHECKING:
    from registry.store import Session

OFFICE = Viewer(name="office", role=Role.DISPATCHER, firm_id=1)
CLERK = Viewer(name="clerk", role=Role.COUNTY, jurisdiction_ids=(1,))


@pytest.fixture(autouse=True)
def firm(session: "Session") -> None:
    session.add(FirmRow(id=1, name="Invented Firm"))
    session.flush()


def test_a_day_is_ordered_once_at_a_time(session: "Session", now: datetime) -> None:
    first = order_day.ask_for_order(session, OFFICE, A_DAY, now)
    with pytest.raises(ConflictError, match="already"):
        order_day.ask_for_order(session, OFFICE, A_DAY, now)
    order_day.note_end(session, first, ok=True, text="The day is ordered.", now=now)
    assert order_day.ask_for_order(session, OFFICE, A_DAY, now) != first


def test_county_staff_may_not_order_a_day(session: "Session", now: datetime) -> None:
    with pytest.raises(AccessError):
        order_day.ask_for_order(session, CLERK, A_DAY, now)


def test_a_job_says_how_far_it_has_come(session: "Session", now: datetime) -> None:
    job_id = order_day.ask_for_order(session, OFFICE, A_DAY, now)
    order_day.note_progress(session, job_id, "Searching.", 4711)
    running = jobs.job(session, job_id)
    assert (running.state, running.progress, running.pid) == ("running", "Searching.", 4711)
    assert running.is_open


def test_a_job_whose_process_is_gone_is_said_to_have_failed(
    session: "Session", now: datetime
) -> None:
    lost = order_day.ask_for_order(session, OFFICE, A_DAY, now)
    order_day.note_progress(session, lost, "Searching.", 4711)
    assert order_day.close_lost_jobs(session, {4711}.__contains__, now) == []
    assert [one.id for one in order_day.close_lost_jobs(session, gone, now)] == [lost]
    assert jobs.job(session, lost).state == "failed"


def test_a_job_that_is_about_to_get_its_process_is_not_lost_yet(
    session: "Session", now: datetime
) -> None:
    job_id = order_day.ask_for_order(session, OFFICE, A_DAY, now)
    assert order_day.close_lost_jobs(session, gone, now + timedelta(seconds=30)) == []
    order_day.note_started(session, job_id, 4711)
    assert jobs.job(session, job_id).state == "queued"
    later = order_day.close_lost_jobs(session, gone, now + timedelta(seconds=31))
    assert [one.id for one in later] == [job_id]


def test_a_job_that_never_got_a_process_is_lost_after_a_while(
    session: "Session", now: datetime
) -> None:
    job_id = order_day.ask_for_order(session, OFFICE, A_DAY, now)
    lost = order_day.close_lost_jobs(session, gone, now + timedelta(minutes=3))
    assert [one.id for one in lost] == [job_id]


def gone(_pid: int) -> bool:
    """Say of every process that it is gone."""
    return False


def test_a_job_that_never_was_is_not_found(session: "Session") -> None:
    with pytest.raises(NotFoundError):
        jobs.job(session, 99)
