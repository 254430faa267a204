"""Changing a day by hand through its requests: roles, what is refused, what is kept."""

from typing import TYPE_CHECKING, Any

import pytest

from registry.records.day_versions import MadeHow
from registry.records.visits import Hold
from registry.services.make_demo import county_today
from registry.store import days
from registry.store.day_versions import versions_of
from tests.pages.visitors import DAY, OWN, Client

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from registry.wiring import Parts

OFFICE = ("dispatcher", "administrator")
ASKS = ("try", "places", "save")


class Office:
    """A dispatcher's page with a day opened to be changed."""

    def __init__(self, client: "FlaskClient") -> None:
        self.client = client
        self.opened: dict[str, Any] = client.get(f"/day/{DAY}/hand.json").get_json()
        self.routes: list[list[str]] = self.opened["state"]["routes"]

    def ask(self, what: str, **sent: object) -> "TestResponse":
        known = {
            "opened": self.opened["opened"],
            "version": self.opened["version"],
            "frame": self.opened["state"]["frame"],
            "routes": self.routes,
        }
        return self.client.post(f"/day/{DAY}/{what}.json", json=known | sent, headers=OWN)

    def good_move(self) -> tuple[str, list[int], list[int]]:
        """A stop, where it stands, and another place at which everything holds."""
        return self._move(fits=True)

    def bad_move(self) -> tuple[str, list[int], list[int]]:
        """A stop, where it stands, and another technician's place at which something breaks."""
        return self._move(fits=False)

    def _move(self, *, fits: bool) -> tuple[str, list[int], list[int]]:
        for who, route in enumerate(self.routes):
            for number, name in enumerate(route):
                at = [who, number]
                if not name.isdigit():
                    continue
                for place in self.ask("places", stop=name, at=at).get_json()["places"]:
                    to = [place["who"], place["number"]]
                    away = to != at if fits else to[0] != who
                    if place["fits"] is fits and away and place["cost_s"] is not None:
                        return name, at, to
        raise AssertionError("the invented county's day has no such move")

    def moved(self, stop: str, at: list[int], to: list[int]) -> list[list[str]]:
        """The routes once a stop is moved."""
        routes: list[list[str]] = self.ask("try", stop=stop, at=at, to=to).get_json()["routes"]
        return routes


@pytest.mark.parametrize("role", ["technician", "county"])
def test_only_who_orders_days_changes_them(client: Client, role: str) -> None:
    assert client(role).get(f"/day/{DAY}/hand.json").status_code == 403
    for what in ASKS:
        answer = client(role).post(f"/day/{DAY}/{what}.json", json={}, headers=OWN)
        assert answer.status_code == 403


@pytest.mark.parametrize("what", ASKS)
def test_a_change_from_another_host_is_refused(client: Client, what: str) -> None:
    answer = client("dispatcher").post(
        f"/day/{DAY}/{what}.json", json={}, headers={"Sec-Fetch-Site": "cross-site"}
    )
    assert answer.status_code == 403


@pytest.mark.parametrize("sent", [None, [], {}, {"routes": 1}, {"routes": [[7]]},
                                  {"routes": [], "at": [1]}, {"routes": [["nobody"]]},
                                  {"routes": [["1"] * 2001]}])  # fmt: skip
@pytest.mark.parametrize("what", ASKS)
def test_what_makes_no_sense_is_refused_in_a_sentence(
    client: Client, what: str, sent: object
) -> None:
    answer = client("dispatcher").post(f"/day/{DAY}/{what}.json", json=sent, headers=OWN)
    assert answer.status_code in (409, 422)
    assert answer.get_json()["error"].endswith((".", "again."))


def test_a_day_that_is_not_ordered_cannot_be_changed(client: Client) -> None:
    answer = client("dispatcher").get("/day/2026-06-14/hand.json")
    assert answer.status_code == 404
    assert "Order the day first" in answer.get_json()["error"]


def test_a_change_is_told_and_nothing_is_kept(client: Client, parts: "Parts") -> None:
    office = Office(client("dispatcher"))
    stop, at, to = office.bad_move()
    told = office.ask("try", stop=stop, at=at, to=to).get_json()
    assert told["routes"][to[0]][to[1]] == stop
    assert told["holds"] is False
    assert told["breaks"]
    assert told["price"].startswith(("Against the kept plan", "The day costs"))
    assert all("<svg" in picture for picture in told["charts"].values())
    assert "Zigzag: a limit gives way." in "".join(told["charts"].values())
    with parts.store.reading() as session:
        assert len(versions_of(session, 1, county_today())) == office.opened["version"]


def test_a_change_that_is_undone_costs_what_the_kept_plan_costs(client: Client) -> None:
    office = Office(client("dispatcher"))
    stop, at, to = office.bad_move()
    office.routes = office.moved(stop, at, to)
    told = office.ask("try", stop=stop, at=to, to=at).get_json()
    assert told["price"] == "The day costs what it did."
    assert told["routes"] == office.opened["state"]["routes"]


def test_the_place_where_a_stop_stands_is_among_its_places(client: Client) -> None:
    office = Office(client("administrator"))
    stop = office.routes[0][0]
    places = office.ask("places", stop=stop, at=[0, 0]).get_json()["places"]
    here = next(one for one in places if (one["who"], one["number"]) == (0, 0))
    assert (here["cost_s"], here["fits"]) == (0, True)
    assert len(places) == sum(len(route) + 1 for route in office.routes) - 1


def test_a_stop_that_is_not_where_the_page_says_is_refused(client: Client) -> None:
    office = Office(client("dispatcher"))
    answer = office.ask("try", stop=office.routes[0][0], at=[0, 1], to=[1, 0])
    assert answer.status_code == 422
    assert "Load the page again" in answer.get_json()["error"]


def test_a_kept_change_is_a_version_and_holds_what_was_moved(
    client: Client, parts: "Parts"
) -> None:
    office = Office(client("dispatcher"))
    stop, at, to = office.good_move()
    answer = office.ask("save", routes=office.moved(stop, at, to), lifted=[stop])
    assert answer.status_code == 200, answer.text
    with parts.store.reading() as session:
        newest = versions_of(session, 1, county_today())[0]
        held = days.holds_on(session, 1, county_today())
    assert (newest.made_how, newest.made_by) == (MadeHow.BY_HAND, "dispatcher")
    assert newest.made_from == office.opened["version"] == newest.number - 1
    who = office.opened["technicians"][to[0]]["id"]
    assert (
        Hold(site_id=int(stop), on_date=county_today(), technician_id=who, held_by="dispatcher")
        in held
    )
    page = client("dispatcher").get(answer.get_json()["url"]).text
    assert "by hand, from plan" in page


def test_a_day_that_breaks_limits_is_kept_only_if_that_is_meant_and_says_so(
    client: Client,
) -> None:
    office = Office(client("dispatcher"))
    stop, at, to = office.bad_move()
    routes = office.moved(stop, at, to)
    refused = office.ask("save", routes=routes, lifted=[stop])
    assert refused.status_code == 422
    assert refused.get_json()["breaks"]
    assert Office(client("dispatcher")).opened["version"] == office.opened["version"]
    kept = office.ask("save", routes=routes, lifted=[stop], although=True)
    assert kept.status_code == 200
    page = client("dispatcher").get(f"/day/{DAY}").text
    assert "This plan was kept although something gives way" in page
    assert "Kept although: " + refused.get_json()["breaks"][0] in page.replace("&#39;", "'")


def test_a_change_of_a_plan_that_is_not_in_force_says_what_changed_and_keeps_nothing(
    client: Client,
) -> None:
    first, second = Office(client("dispatcher")), Office(client("administrator"))
    stop, at, to = first.good_move()
    routes = first.moved(stop, at, to)
    kept = first.ask("save", routes=routes, lifted=[stop], although=True)
    assert kept.status_code == 200
    answer = second.ask("save", routes=second.routes)
    assert answer.status_code == 409
    assert "changed by hand meanwhile by dispatcher" in answer.get_json()["error"]
    assert "nothing of yours was kept" in answer.get_json()["error"]
    assert Office(client("dispatcher")).routes == routes


def test_a_day_that_the_server_let_go_is_opened_again(client: Client) -> None:
    office = Office(client("dispatcher"))
    office.opened["opened"] = "let go"
    assert office.ask("places", stop=office.routes[0][0], at=[0, 0]).status_code == 200
    office.opened |= {"opened": "let go, too", "version": 0}
    assert office.ask("places", stop=office.routes[0][0], at=[0, 0]).status_code == 409


def test_two_days_lie_beside_each_other(client: Client) -> None:
    page = client("dispatcher").get(f"/day/{DAY}?beside={DAY}").text
    assert page.count('class="picture time-distance"') == 2
    assert "Show one day only" in page
    assert (
        "This date is not ordered yet"
        in client("dispatcher").get(f"/day/{DAY}?beside=2026-06-14").text
    )
