"""A river's forecast closes roads by the hour, and the day's plan gets out before."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from registry.basemap.revisions import current_folder, read_about
from registry.errors import AccessError
from registry.records.changes import Role, Viewer
from registry.records.closures import Closure, Hours
from registry.records.crew import Technician
from registry.records.day import Day
from registry.records.roads import RoadConditions
from registry.records.visits import DueVisit
from registry.roads.with_dijkstra import DijkstraRoads
from registry.services.closures import closures_of_day, list_closures
from registry.services.day_input import DayInput, day_input
from registry.services.forecast_roads import (
    RoadsByWater,
    WaterAsked,
    heed_forecast,
    roads_at_stage,
    roads_by_forecast,
)
from registry.services.import_river import import_river
from registry.services.pose_day import pose, tell
from registry.solvers.by_hour import HoursSolver
from registry.solvers.combined import CombinedSolver
from registry.solvers.linked import LinkedSolver
from registry.store import Store, open_store
from tests.osm_town import FAR_END, PLACES, street
from tests.store import rows
from tests.store.importing import request
from tests.unit.imports import files
from tests.unit.imports.files import feature

MONDAY, ZONE = date(2026, 6, 15), "Etc/GMT+8"
FAR, NEAR, YARD = PLACES[FAR_END], street(3, 3), street(0, 0)
LOW = street(6.5, 2)
"""On the only road to the far end."""
SOLVER = HoursSolver(LinkedSolver(CombinedSolver()))


def bring(store: Store, folder: Path, kind: str, text: str) -> None:
    path = folder / f"{kind}.csv"
    path.write_text(text, encoding="utf-8")
    with store.session() as session:
        import_river(session, request(path), kind)


def forecast(*stages_ft: float, since: int = 6) -> str:
    """Stages by the hour on Monday, the first one read at six."""
    return "gauge,at,stage_ft,forecast\n" + "".join(
        f"Mill,2026-06-15T{since + k:02d}:00-08:00,{stage},{'yes' if k else 'no'}\n"
        for k, stage in enumerate(stages_ft)
    )


@pytest.fixture
def beside_river(sqlite_url: str, tmp_path: Path) -> Iterator[Store]:
    """A level river of which stage and level agree, and a road that lies at 12 ft.

    On SQLite alone: what is asked of the store is asked of both in test_high_water.py.
    """
    store = open_store(sqlite_url)
    with store.session() as session:
        rows.firm(session)
    bring(store, tmp_path, "gauges", "gauge,station_mi,zero_ft,datum\nMill,5,100,NAVD88\n")
    line = {"type": "LineString", "coordinates": [street(6, -2), street(6, 8)]}
    path = files.geojson(tmp_path, feature(line, gauge="Mill", first_mi=0, last_mi=10))
    with store.session() as session:
        import_river(session, request(path), "river")
    levels = "".join(f"Mill,{ft},{mi},{100 + ft},NAVD88\n" for ft in (0, 30) for mi in (0, 10))
    bring(store, tmp_path, "levels", f"gauge,stage_ft,station_mi,surface_ft,datum\n{levels}")
    road = f"Far Road,{LOW.lon},{LOW.lat},112,NAVD88\nHill Road,{NEAR.lon},{NEAR.lat},140,NAVD88\n"
    bring(store, tmp_path, "low-points", f"name,lon,lat,elevation_ft,datum\n{road}")
    # 7 ft at 06:00, a foot an hour: 12 ft, the road's lowest place, at 11:00 by this clock
    bring(store, tmp_path, "stages", forecast(7, 8, 9, 10, 11, 12, 13, 13, 12, 11, 10))
    yield store
    store.close()


def by_forecast(store: Store, on_date: date = MONDAY) -> RoadsByWater:
    with store.reading() as session:
        return roads_by_forecast(session, on_date, ZONE)


def hours(found: RoadsByWater) -> list[tuple[str, Hours | None]]:
    return [(one.name, one.hours) for one in found.closures]


def due(site_id: int, **fields: Any) -> DueVisit:
    known: dict[str, Any] = {
        "site_id": site_id,
        "site_key": f"S-{site_id}",
        "tasks": ("inspection",),
        "due_on": MONDAY,
        "days_overdue": 3,
        "worth_s": 9_000.0,
    }
    return DueVisit(**(known | fields))


def worker(number: int) -> Technician:
    return Technician(
        id=number,
        name=f"Worker {number}",
        initials=f"W{number}",
        shift_from_min=480,
        shift_to_min=1020,
        lunch_min=0,
    )


def ordered(roads: DijkstraRoads, closures: tuple[Closure, ...]) -> Day:
    """Two visits that one person makes on one way, unless the far one must be made first."""
    visits = (
        due(1, lon_lat=NEAR, service_min=90.0, windows=((480, 510),)),
        due(2, lon_lat=FAR, service_min=90.0),
    )
    crew = (worker(1), worker(2))
    closed = closures_of_day(closures, crew, MONDAY)
    known = DayInput(
        firm_id=1,
        on_date=MONDAY,
        zone=ZONE,
        yard=YARD,
        visits=visits,
        crew=crew,
        fills=(),
        conditions=RoadConditions(closures=closed.in_force),
    )
    posed = pose(known, roads)
    # telling a day judges it: registry.plan.check and check_hours refuse what breaks a closure
    return tell(posed, SOLVER.solve(posed.problem, rounds=60, seed=1), 1)


def left_far_at(day: Day) -> str:
    (stop,) = [one for route in day.routes for one in route.visits if one.site == "S-2"]
    return f"{stop.leaves:%H:%M}"


def test_where_a_road_goes_under_at_eleven_the_plan_gets_out_before(
    beside_river: Store, town_roads: Path
) -> None:
    # worked by hand: under water from 11:00 (12 ft), within a foot of it from 10:00 on
    found = by_forecast(beside_river)
    assert hours(found) == [("Far Road", (600, 1440))]
    assert "under water from 11:00 on 15 June to 14:00 on 15 June" in found.closures[0].why
    assert "turn round" in found.notes[0]
    here = current_folder(town_roads)
    assert here is not None
    roads = DijkstraRoads.open(here, read_about(here))
    try:
        without, with_forecast = ordered(roads, ()), ordered(roads, found.closures)
    finally:
        roads.close()
    assert left_far_at(without) > "11:00"
    assert left_far_at(with_forecast) < "10:00"
    assert sum(len(route.visits) for route in with_forecast.routes) == 2


def test_a_forecast_that_changes_lifts_what_it_closed(beside_river: Store, tmp_path: Path) -> None:
    bring(beside_river, tmp_path, "stages", forecast(7, 8, 9, 10, 10.9, 10.9, 9))
    assert hours(by_forecast(beside_river)) == []


def test_water_that_stands_when_the_forecast_ends_keeps_the_road_closed_that_day(
    beside_river: Store, tmp_path: Path
) -> None:
    bring(beside_river, tmp_path, "stages", forecast(7, 12, 12))
    found = by_forecast(beside_river)
    # within a foot, 11 ft, at four fifths of the hour from 06:00 on
    assert hours(found) == [("Far Road", (6 * 60 + 48, 1440))]
    assert found.notes[-1] == ("The forecast of Mill ends at 08:00: no road is closed by it later.")
    assert hours(by_forecast(beside_river, date(2026, 6, 16))) == []


def test_a_firm_s_days_heed_the_forecast_only_once_its_office_says_so(
    beside_river: Store,
) -> None:
    with beside_river.session() as session:
        firm_id = rows.firm(session)
        rows.site(session)  # the firm's clock is its county's
        office = Viewer(name="office", role=Role.DISPATCHER, firm_id=firm_id)
        guest = Viewer(name="guest", role=Role.TECHNICIAN, firm_id=firm_id)
        assert list_closures(session, office, MONDAY) == []
        with pytest.raises(AccessError):
            heed_forecast(session, guest, heed=True)
        heed_forecast(session, office, heed=True)
        assert [one.name for one in list_closures(session, office, MONDAY)] == ["Far Road"]
        known = day_input(session, firm_id, MONDAY)
        assert known.notes[0].startswith("1 low place is closed by the river’s forecast.")
        assert any(one.startswith("Far Road is closed") for one in known.notes)
        heed_forecast(session, office, heed=False)
        assert day_input(session, firm_id, MONDAY).notes == ()
        asked = day_input(session, firm_id, MONDAY, water=WaterAsked(stage_ft=11.5))
        assert asked.notes[0].startswith("As if Mill stood at 11.5 ft all day: 1 low place ")


def test_a_higher_stage_opens_no_road(beside_river: Store) -> None:
    with beside_river.reading() as session:
        closed = [
            {one.name for one in roads_at_stage(session, stage, MONDAY).closures}
            for stage in (5, 10.9, 11, 12, 29, 40)
        ]
    assert closed == [set(), set(), {"Far Road"}, {"Far Road"}, {"Far Road"}, {"Far Road"}]
    with beside_river.reading() as session:
        notes = roads_at_stage(session, 40, MONDAY).notes
    assert "Hill Road" in notes[1]
