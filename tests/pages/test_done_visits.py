"""A visit that is recorded stays on its line: marked done in words and by a tick, never moved."""

from typing import TYPE_CHECKING

import pytest

from registry.records.visits import VisitRecord
from registry.services.make_demo import county_today
from registry.services.recompute_due import recompute_due
from registry.store import days
from registry.store.obligations import obligations_of_sites
from registry.store.visits import record_visit
from tests.pages.test_changing_a_day import Office
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from registry.records.day import Day, Stop
    from registry.wiring import Parts

TICK = "l4.5,5.5 8,-13"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Search shortly: what is tested here is not how good a plan is."""
    monkeypatch.setattr("registry.services.run_day.SEARCH_S", 0.05)


def in_force(parts: "Parts") -> "Day":
    with parts.store.reading() as session:
        found = days.day_of(session, 1, county_today())
    assert found is not None
    return found


def make(parts: "Parts", stop: "Stop") -> None:
    """Record that all that was due at a stop is done, so that nothing is due there any more."""
    on_date = county_today()
    with parts.store.session() as session:
        owed = obligations_of_sites(session, [stop.site_id])
        done = tuple((one.system_id, one.task) for one in owed)
        visit = VisitRecord(
            id=f"made-{stop.site_id}", site_id=stop.site_id, on_date=on_date, done=done
        )
        assert record_visit(session, visit, parts.now())
        recompute_due(session, on_date, [stop.site_id])


def test_a_recorded_visit_stays_on_the_page_in_the_tool_and_in_the_next_order(
    client: Client, parts: "Parts"
) -> None:
    office = client("dispatcher")
    before = in_force(parts)
    route = before.routes[0]
    made, noted, still_open = route.visits[0], route.visits[1], route.visits[-1]
    make(parts, made)
    answer = office.post(
        f"/day/{DAY}/note",
        data={"kind": "done", "stop": noted.site_id, "at": f"{noted.leaves:%H:%M}"},
        headers=OWN,
    )
    assert answer.status_code == 302
    page = office.get(f"/day/{DAY}").text
    assert page.count(TICK) == 2 * 2, "each tick lies on a stroke of paper"
    assert f"{made.site}: done." in page
    assert f"{noted.site}: done {noted.leaves:%H:%M}." in page
    assert "Tick: done." in page
    assert page.count('<span class="tag">✓ done') == 2

    tool = Office(office)
    name, others = tool.routes[0][0], tool.routes[0][1:]
    assert name == made.visit_id
    assert tool.opened["gone"] == []
    assert set(tool.opened["done"]) == {made.visit_id, noted.visit_id}
    assert tool.opened["state"]["charts"] == {}, "the page shows the same picture already"
    assert "done" in tool.opened["state"]["stops"][name]
    refused = tool.ask("try", stop=name, at=[0, 0], to=[0, 1])
    assert refused.status_code == 422
    assert refused.get_json()["error"] == "That visit is done: it stays where it was made."
    told = tool.ask("try", stop=others[-1], at=[0, len(others)], to=None).get_json()
    assert told["charts"]["0"].count(TICK) == 2 * 2

    at = f"{still_open.starts:%H:%M}"
    answer = office.post(
        f"/day/{DAY}/reorder", data={"at": at, "price": "10", "version": before.number}, headers=OWN
    )
    assert answer.status_code == 302, answer.text
    now = in_force(parts)
    assert [one.site for one in now.routes[0].visits[:2]] == [made.site, noted.site]
    assert made.site not in {one.site for one in now.waiting}


def test_a_visit_that_is_recorded_and_not_noted_is_not_ordered_again(
    client: Client, parts: "Parts"
) -> None:
    before = in_force(parts)
    last = before.routes[0].visits[-1]
    make(parts, last)
    answer = client("dispatcher").post(
        f"/day/{DAY}/reorder",
        data={"at": f"{before.routes[0].visits[0].arrives:%H:%M}", "price": "10"},
        headers=OWN,
    )
    assert answer.status_code == 302, answer.text
    now = in_force(parts)
    found = [one for one in now.routes for stop in one.visits if stop.site == last.site]
    assert [one.technician for one in found] == [before.routes[0].technician]
