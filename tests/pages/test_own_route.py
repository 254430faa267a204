"""A technician is told what a changed plan means for the own route; the office knows who saw it."""

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from registry.services.make_demo import county_today
from registry.store import days
from registry.store.tables import UserRow
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from registry.wiring import Parts


def asked(client: Client, since: int) -> dict[str, Any]:
    """Ask as the technician what changed since a plan."""
    return dict(client("technician").get(f"/day/{DAY}/own-route.json?since={since}").json or {})


def test_what_changed_is_said_to_whom_it_touches_and_the_office_knows_who_has_seen_it(
    client: Client, parts: "Parts"
) -> None:
    assert asked(client, 0) == {"number": 1, "changed_at": "", "said": []}
    with parts.store.session() as session:
        mine = session.scalar(select(UserRow.technician_id).where(UserRow.name == "technician"))
        day = days.day_of(session, 1, county_today())
        assert day is not None
        (own,) = [one for one in day.routes if one.technician_id == mine]
        other = next(one for one in day.routes if one.technician_id != mine and one.stops)
        lost, came = own.visits[0], other.visits[0]
        swapped = {
            own.technician_id: (came, *(one for one in own.stops if one is not lost)),
            other.technician_id: (lost, *(one for one in other.stops if one is not came)),
        }
        routes = tuple(
            replace(one, stops=swapped.get(one.technician_id, one.stops)) for one in day.routes
        )
        days.save_day(
            session,
            replace(day, routes=routes),
            made_by="the office",
            now=parts.now(),
            made_how="changed by hand",
        )
    told = asked(client, 1)
    assert told["number"] == 2
    assert told["changed_at"]
    assert any(came.site in one and "new" in one for one in told["said"])
    assert any(lost.site in one and f"given to {other.technician}" in one for one in told["said"])
    assert len(told["said"]) == 2
    assert asked(client, 2)["said"] == []
    assert "has seen it" not in client("dispatcher").get(f"/day/{DAY}").text
    for number, status in ((2, 200), (2, 200), (9, 404), ("x", 422)):
        answer = client("technician").post(f"/day/{DAY}/seen", json={"number": number}, headers=OWN)
        assert answer.status_code == status
    page = client("dispatcher").get(f"/day/{DAY}").text
    assert f"{own.technician} (has seen it)" in page
    assert page.count("has seen plan 2 ") == 1


def test_a_date_without_a_plan_changes_nothing(client: Client) -> None:
    on = date(2031, 1, 6).isoformat()
    answer = client("technician").get(f"/day/{on}/own-route.json?since=1")
    assert (answer.json or {})["number"] == 0
