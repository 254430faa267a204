"""A day over a real network of which a road is closed for hours: posed, ordered and told."""

from dataclasses import replace
from datetime import date

import pytest
import shapely

from registry.basemap.revisions import current_folder, read_about
from registry.errors import PlanError
from registry.plan.check_hours import check_hours
from registry.records.closures import Closure
from registry.records.crew import Licence, Technician, Truck
from registry.records.roads import RoadConditions
from registry.records.visits import DueVisit
from registry.roads.network import build_network
from registry.roads.osrm_build import osrm_version
from registry.roads.with_dijkstra import DijkstraRoads
from registry.roads.with_osrm import OsrmRoads
from registry.services.closures import closures_of_day
from registry.services.day_input import DayInput
from registry.services.pose_day import pose, tell
from registry.solvers.by_hour import HoursSolver
from registry.solvers.combined import CombinedSolver
from registry.solvers.linked import LinkedSolver
from tests.once import once
from tests.osm_town import BUILT_AT, FAR_END, PLACES, quiet, street, town, write_osm

MONDAY = date(2026, 6, 15)
FAR, NEAR = PLACES[FAR_END], street(3, 3)
DEAD_END = shapely.LineString([street(6.5, 1.9), street(6.5, 2.1)])
"""Across the only road to the far end."""
SOLVER = HoursSolver(LinkedSolver(CombinedSolver()))


@pytest.fixture(scope="session")
def low_bridge(run_folder):
    """The town with a street, Column 5, that heavy trucks may not take."""

    def make(folder):
        nodes, ways = town()
        ways = [
            (refs, {**tags, "maxweight": "5 st"} if tags.get("name") == "Column 5" else tags)
            for refs, tags in ways
        ]
        folder.mkdir()
        file = write_osm(folder / "town.osm", nodes, ways)
        build_network(file, folder, "Invented", BUILT_AT, quiet, with_basemap=False)

    return once(run_folder, "low_bridge", make)


@pytest.fixture(params=["dijkstra", "osrm"])
def roads(request, low_bridge):
    if request.param == "osrm" and not osrm_version():
        pytest.skip("OSRM is not to be had here.")
    here = current_folder(low_bridge)
    info = read_about(here)
    osrm = request.param == "osrm"
    opened = OsrmRoads(here, info) if osrm else DijkstraRoads.open(here, info)
    yield opened
    opened.close()


def closure(hours=(12 * 60, 24 * 60), shape=DEAD_END, name="the causeway", **fields):
    return Closure(name=name, shape=shape, first_on=MONDAY, hours=hours, **fields)


def due(site_id, place, service_min, **fields):
    known = {
        "site_id": site_id,
        "site_key": f"S-{site_id}",
        "lon_lat": place,
        "tasks": ("inspection",),
        "service_min": service_min,
        "due_on": MONDAY,
        "days_overdue": 3,
        "worth_s": 9_000.0,
    }
    return DueVisit(**(known | fields))


def worker(number=1, **fields):
    known = {"id": number, "name": f"Worker {number}", "initials": f"W{number}",
             "shift_from_min": 480, "shift_to_min": 1020, "lunch_min": 0}  # fmt: skip
    return Technician(**(known | fields))


def day_of(roads, closures, visits, crew, yard=None):
    closed = closures_of_day(closures, crew, MONDAY)
    known = DayInput(
        firm_id=1,
        on_date=MONDAY,
        zone="Etc/GMT+8",
        yard=yard or street(0, 0),
        visits=tuple(visits),
        crew=tuple(crew),
        fills=(),
        conditions=RoadConditions(closures=closed.in_force),
        notes=closed.notes,
    )
    posed = pose(known, roads)
    return posed, tell(posed, SOLVER.solve(posed.problem, rounds=60, seed=1), 1)


def test_a_road_that_closes_at_noon_is_driven_out_and_back_in_the_morning(roads):
    visits = [due(1, NEAR, 180.0), due(2, FAR, 60.0)]
    _, day = day_of(roads, [closure()], visits, [worker()])
    (route,) = day.routes
    assert [stop.site for stop in route.visits] == ["S-2", "S-1"]
    assert route.visits[1].roads[0].startswith("Set off by 11:5")
    assert (
        "the causeway closes at 12:00, and no other road leads there." in route.visits[1].roads[0]
    )
    assert day.roads.closed == ("the causeway",)
    assert not any("closed" in one for one in day.roads.warnings)
    (hours,) = day.closed_hours
    assert (hours.name, f"{hours.begins:%H:%M}", hours.ends.date()) == (
        "the causeway", "12:00", date(2026, 6, 16))  # fmt: skip
    assert any(one.startswith("the causeway is closed 12:00–24:00") for one in day.notes)
    line = shapely.LineString(route.line)
    assert line.intersects(DEAD_END)


def test_a_road_that_opens_at_ten_is_waited_for(roads):
    _, day = day_of(roads, [closure((0, 600))], [due(2, FAR, 60.0)], [worker()])
    (stop,) = day.routes[0].visits
    assert f"{stop.sets_off:%H:%M}" == "10:00"
    assert stop.roads == ("Waits until 10:00, when the causeway opens.",)


def test_what_cannot_be_made_while_the_road_is_open_says_so(roads):
    _, day = day_of(roads, [closure((485, 1440))], [due(2, FAR, 60.0)], [worker()])
    assert [one.why_word for one in day.waiting] == ["hours"]
    assert "Closed for hours on the way: the causeway." in day.waiting[0].why


def test_a_told_day_with_a_drive_in_closed_hours_is_refused(roads):
    posed, day = day_of(roads, [closure()], [due(2, FAR, 60.0)], [worker()])
    check_hours(day, posed.problem, posed.records.places)
    (route,) = day.routes
    (stop,) = route.stops
    later = replace(
        stop, arrives=stop.arrives.replace(hour=12), starts=stop.starts.replace(hour=13)
    )
    wrong = replace(day, routes=(replace(route, stops=(later,)),))
    with pytest.raises(PlanError, match=r"Worker 1 is on the way to S-2 while a road is closed\."):
        check_hours(wrong, posed.problem, posed.records.places)


def test_the_closure_that_keeps_the_only_able_truck_away_is_named(roads):
    # Who drives light gets there by Column 5; the pumper's truck is too heavy for it.
    across = shapely.LineString([street(4.5, 4.9), street(4.5, 5.1)])
    closed = closure(None, across, "Row 5 at the pond", last_on=MONDAY)
    licence = Licence(kind="pumper", jurisdiction="", valid_from=None, valid_to=None)
    crew = [
        worker(1),
        worker(2, licences=(licence,), truck=Truck(name="tanker", weight_lb=26_000.0)),
    ]
    _, day = day_of(roads, [closed], [due(2, NEAR, 60.0, licences=("pumper",))], crew, street(5, 5))
    (waits,) = day.waiting
    assert waits.why_word == "unreachable"
    assert waits.why.endswith(
        "Closed roads: Row 5 at the pond stands in the way; without it the site could be reached in"
        " the truck of Worker 2."
    )
