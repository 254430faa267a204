"""Tables are kept by their content, and the folder stays within its bound."""

import numpy as np
import pytest
import shapely

from registry.errors import RoadError
from registry.plan.ports import Matrix
from registry.records.closures import Closure
from registry.records.places import LonLat
from registry.records.roads import RoadConditions, VehicleLimits
from registry.roads.cached import CachedRoads
from tests.osm_town import BUILT_AT, street


class Counting:
    """An engine that counts how often it is asked."""

    def __init__(self, key="a"):
        self.key = key
        self.asked = 0
        self.closed = False

    def under(self, conditions):
        return Counting(f"{self.key} {len(conditions.closures)}")

    def travel_times(self, places, *, limits=None):
        self.asked += 1
        self.limits = limits
        if len(places) > 50:
            raise RoadError("Too far.")
        n = len(places)
        table = np.arange(n * n, dtype=float).reshape(n, n) + self.asked
        table[0, -1] = np.nan
        return Matrix(
            travel_s=table,
            travel_m=table * 10,
            snap_m=np.ones(n),
            source="counting",
            warnings=("place 1 is far",),
            built=BUILT_AT,
            credit="© somebody",
            closed=("Low Road",),
        )

    def line(self, places, *, limits=None):
        self.limits = limits
        return tuple(places)

    def close(self):
        self.closed = True


@pytest.fixture
def places():
    return [street(c, 0) for c in range(5)]


def same(a, b):
    for name in ("travel_s", "travel_m", "snap_m"):
        np.testing.assert_array_equal(getattr(a, name), getattr(b, name))
    for name in ("source", "warnings", "built", "credit", "closed"):
        assert getattr(a, name) == getattr(b, name)


def test_the_same_places_are_asked_for_once(tmp_path, places):
    engine = Counting()
    first = CachedRoads(engine, tmp_path).travel_times(places)
    same(CachedRoads(engine, tmp_path).travel_times(places), first)
    assert engine.asked == 1


def test_a_place_moved_by_less_than_a_tenth_of_a_metre_is_the_same(tmp_path, places):
    engine = Counting()
    roads = CachedRoads(engine, tmp_path)
    roads.travel_times(places)
    roads.travel_times([LonLat(place.lon + 2e-7, place.lat) for place in places])
    assert engine.asked == 1


def test_other_places_another_order_or_another_network_are_asked_for(tmp_path, places):
    engine = Counting()
    roads = CachedRoads(engine, tmp_path)
    roads.travel_times(places)
    roads.travel_times(places[::-1])
    roads.travel_times(places[:-1])
    assert engine.asked == 3
    other = Counting("b")
    CachedRoads(other, tmp_path).travel_times(places)
    assert other.asked == 1


def test_a_damaged_table_is_asked_for_again(tmp_path, places):
    engine = Counting()
    roads = CachedRoads(engine, tmp_path)
    roads.travel_times(places)
    (kept,) = tmp_path.glob("*.npz")
    for content in (b"", b"PK\x03\x04", kept.read_bytes()[:-100]):
        kept.write_bytes(content)
        roads.travel_times(places)
    assert engine.asked == 4
    roads.travel_times(places)
    assert engine.asked == 4


def test_an_error_is_not_kept(tmp_path):
    roads = CachedRoads(Counting(), tmp_path)
    for _ in range(2):
        with pytest.raises(RoadError):
            roads.travel_times([street(0, i / 100) for i in range(51)])
    assert list(tmp_path.iterdir()) == []


def test_the_least_recently_used_tables_go_first(tmp_path, places):
    roads = CachedRoads(Counting(), tmp_path, most_bytes=5_000)
    for row in range(6):
        roads.travel_times([street(c, row) for c in range(5)])
    assert sum(path.stat().st_size for path in tmp_path.iterdir()) <= 5_000
    engine = Counting()
    CachedRoads(engine, tmp_path).travel_times([street(c, 5) for c in range(5)])
    assert engine.asked == 0


def test_a_folder_that_cannot_be_written_costs_no_plan(tmp_path, places):
    (tmp_path / "tables").write_text("a file where the folder should be")
    engine = Counting()
    roads = CachedRoads(engine, tmp_path / "tables")
    roads.travel_times(places)
    assert engine.asked == 1


def test_closing_closes_the_engine_behind(tmp_path):
    engine = Counting()
    with CachedRoads(engine, tmp_path) as roads:
        assert roads.line([street(0, 0)]) == (street(0, 0),)
    assert engine.closed


def test_each_kind_of_truck_is_asked_for_once(tmp_path, places):
    engine = Counting()
    roads = CachedRoads(engine, tmp_path)
    heavy, high = VehicleLimits(weight_lb=26_000.0), VehicleLimits(height_ft=11.0)
    for limits in (None, heavy, high, heavy, None):
        roads.travel_times(places, limits=limits)
    assert engine.asked == 3
    assert engine.limits == high


def test_roads_under_other_conditions_are_asked_for_by_themselves(tmp_path, places):
    roads = CachedRoads(Counting(), tmp_path)
    mill = Closure(name="mill", shape=shapely.Point(0, 0).buffer(1), first_on=BUILT_AT.date())
    roads.travel_times(places)
    roads.under(RoadConditions(closures=(mill,))).travel_times(places)
    assert len(list(tmp_path.glob("*.npz"))) == 2
