"""The office is told of who works alone and has not reported in time."""

from datetime import date, datetime
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from registry.records.changes import Role, Viewer
from registry.services.make_demo import county_today
from registry.services.see_running import Running, see_running
from registry.store import days
from registry.store.tables import UserRow
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from registry.records.day import Route
    from registry.wiring import Parts

OFFICE = Viewer(name="the office", role=Role.DISPATCHER, firm_id=1)


@pytest.fixture
def own_route(parts: "Parts") -> "Route":
    """The route of the technician who signs in."""
    with parts.store.reading() as session:
        mine = session.scalar(select(UserRow.technician_id).where(UserRow.name == "technician"))
        day = days.day_of(session, 1, county_today())
    assert day is not None
    return next(one for one in day.routes if one.technician_id == mine)


def sent(client: "FlaskClient", kind: str, site_id: int, at: datetime) -> str:
    """Send a record that somebody came or went; return what became of it."""
    record = {"kind": kind, "site_id": site_id, "on_date": DAY, "at": at.isoformat()}
    answer = client.post("/records", json={"records": [record]}, headers=OWN)
    return str((answer.json or {})["records"][0]["status"])


def running(parts: "Parts", minute: int) -> Running:
    """Return the day as the office sees it at a minute."""
    with parts.store.reading() as session:
        return see_running(session, OFFICE, date.fromisoformat(DAY), minute)


def test_who_came_and_is_silent_is_told_of_until_heard_from_or_gone(
    client: Client, parts: "Parts", own_route: "Route"
) -> None:
    hands, stop = client("technician"), own_route.visits[0]

    def told(minute: int) -> list[str]:
        return [
            one.said
            for one in running(parts, minute).alone
            if one.technician_id == own_route.technician_id
        ]

    eight = own_route.leaves.replace(hour=8, minute=0)
    assert sent(hands, "arrival", stop.site_id, eight) == "kept"
    assert sent(hands, "arrival", stop.site_id, eight) == "kept"
    noted = [one for one in running(parts, 900).notes if "begun" in one.said]
    assert len(noted) == 1
    (said,) = told(15 * 60)
    assert f"on site at {stop.site}" in said
    assert "since 08:00" in said
    (one,) = [one for one in running(parts, 900).alone if one.said == said]
    assert one.phone.startswith("555 01")
    form = {"kind": "heard from", "technician_id": own_route.technician_id, "at": "14:50"}
    nothing = client("dispatcher").post(f"/day/{DAY}/note", data=form, headers=OWN)
    assert nothing.status_code == 422
    form["text"] = "answered the phone"
    client("dispatcher").post(f"/day/{DAY}/note", data=form, headers=OWN)
    assert told(15 * 60) == []
    assert told(15 * 60 + 21) == [said]
    assert sent(hands, "departure", stop.site_id, eight.replace(hour=9)) == "kept"
    assert not any("on site" in one for one in told(15 * 60 + 21))


def test_a_technician_reads_no_warning_of_others(client: Client) -> None:
    assert "Working alone" not in client("technician").get(f"/day/{DAY}").text
