"""The morning's lists: whom to call, what each truck carries, which licences end soon."""

from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from lxml import html
from sqlalchemy import update

from registry.records.changes import Role, Viewer
from registry.services.make_demo import county_today
from registry.services.morning import see_morning
from registry.services.see_day import see_day
from registry.store.tables import LicenceRow, SiteRow
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from registry.services.morning import Morning
    from registry.wiring import Parts

OFFICE = Viewer(name="dispatcher", role=Role.DISPATCHER, firm_id=1)


def morning(parts: "Parts", viewer: Viewer = OFFICE) -> "Morning":
    with parts.store.reading() as session:
        day = see_day(session, viewer, county_today()).day
        return see_morning(session, viewer, day, county_today())


def test_every_visit_on_a_route_has_an_owner_to_call_an_hour_before(parts: "Parts") -> None:
    """One hour is common practice, no source; before 8:00 the call is made the day before."""
    with parts.store.reading() as session:
        day = see_day(session, OFFICE, county_today()).day
    assert day is not None
    stops = {stop.site_id: stop for route in day.routes for stop in route.visits}
    listed = morning(parts).calls
    assert {one.site_id for one in listed} == set(stops)
    for one in listed:
        assert one.owner
        assert one.by in (None, stops[one.site_id].arrives - timedelta(hours=1))
        assert (one.by is None) == (stops[one.site_id].arrives.hour < 9)


def test_a_call_is_noted_with_what_was_agreed_and_the_newest_holds(
    client: Client, parts: "Parts"
) -> None:
    site = morning(parts).calls[0].site_id
    for agreed in ("comes at ten", "comes at eleven, dog inside"):
        sent = {"site_id": site, "agreed": agreed}
        answer = client("dispatcher").post(f"/day/{DAY}/call", data=sent, headers=OWN)
        assert answer.status_code == 302
    made = next(one.made for one in morning(parts).calls if one.site_id == site)
    assert made is not None
    assert (made.agreed, made.called_by) == ("comes at eleven, dog inside", "dispatcher")
    page = client("dispatcher").get(f"/day/{DAY}").text
    assert "comes at eleven, dog inside" in page
    assert f"(1 of {len(morning(parts).calls)} called)" in page


@pytest.mark.parametrize("role", ["technician", "county"])
def test_only_the_office_notes_calls(client: Client, role: str) -> None:
    answer = client(role).post(f"/day/{DAY}/call", data={"site_id": 1}, headers=OWN)
    assert answer.status_code == 403


@pytest.mark.parametrize(
    ("sent", "status"),
    [({}, 422), ({"site_id": "999999"}, 404), ({"site_id": 1, "agreed": "x" * 201}, 422)],
)
def test_a_call_that_makes_no_sense_is_refused(
    client: Client, sent: dict[str, str], status: int
) -> None:
    answer = client("dispatcher").post(f"/day/{DAY}/call", data=sent, headers=OWN)
    assert answer.status_code == status


def test_each_truck_carries_the_water_and_tools_of_its_visits(parts: "Parts") -> None:
    with parts.store.reading() as session:
        day = see_day(session, OFFICE, county_today()).day
    assert day is not None
    water = {one.technician: sum(stop.water_gal for stop in one.visits) for one in day.routes}
    for load in morning(parts).loads:
        assert load.water_gal == water[load.technician]
        assert load.tools


def test_a_gate_code_is_not_on_the_list_only_that_there_is_one(
    client: Client, parts: "Parts"
) -> None:
    site = morning(parts).calls[0].site_id
    with parts.store.session() as session:
        session.execute(
            update(SiteRow).where(SiteRow.id == site).values(gate_code="planted-7731", gate_note="")
        )
    page: Any = html.fromstring(client("dispatcher").get(f"/day/{DAY}").text)
    said = page.xpath("//*[@id='morning']")[0].text_content()
    assert "code on the gate sheet" in said
    assert "planted-7731" not in said


def test_licences_that_end_within_thirty_days_are_told(parts: "Parts") -> None:
    """Thirty days are common practice, no source."""
    with parts.store.session() as session:
        session.execute(update(LicenceRow).values(valid_to=county_today() + timedelta(days=31)))
        first = session.query(LicenceRow).order_by(LicenceRow.id).first()
        assert first is not None
        first.valid_to = county_today() + timedelta(days=30)
    assert [one.ends_on for one in morning(parts).lapses] == [county_today() + timedelta(days=30)]


def test_a_technician_sees_the_own_lists_only(client: Client) -> None:
    page: Any = html.fromstring(client("technician").get(f"/day/{DAY}").text)
    section = page.xpath("//*[@id='morning']")[0]
    assert len(section.xpath(".//dl[contains(@class, 'loads')]/div")) == 1
    assert not section.xpath(".//form")


def test_the_list_begins_with_what_is_owed_be_it_nothing(client: Client, parts: "Parts") -> None:
    """A heading that is missing could mean that nobody looked."""
    with parts.store.session() as session:
        session.execute(update(LicenceRow).values(valid_to=None))
    page: Any = html.fromstring(client("dispatcher").get(f"/day/{DAY}").text)
    said = " ".join(page.xpath("//*[@id='morning']/p")[0].text_content().split())
    calls = morning(parts).calls
    to_call = sum(one.made is None for one in calls)
    assert said == (
        f"{to_call} of {len(calls)} owners still to call; no licence ends within 30 days; "
        "no report is owed tonight; no finding is past its date."
    )
