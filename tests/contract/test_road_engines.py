"""What every road engine must do, whichever stands behind the port."""

import numpy as np
import pytest
from pyproj import Geod

from registry.basemap.revisions import current_folder, read_about
from registry.errors import RoadError
from registry.records.places import LonLat
from registry.roads.cached import CachedRoads
from registry.roads.osrm_build import osrm_version
from registry.roads.straight_line import StraightLine
from registry.roads.with_dijkstra import DijkstraRoads
from registry.roads.with_osrm import OsrmRoads
from tests.osm_town import FAR_END, PLACES, SIDE, street

WGS_84 = Geod(ellps="WGS84")
STOPS = [street(0, 0), street(3.5, 2), street(4, 1.5), street(5, 5), PLACES[FAR_END]]
KINDS = ("osrm", "dijkstra", "straight line", "kept osrm", "kept dijkstra")


def engine_of(kind, town_roads, tables):
    if kind.endswith("osrm") and not osrm_version():
        pytest.skip("OSRM is not to be had here.")
    here = current_folder(town_roads)
    info = read_about(here)
    if kind == "straight line":
        return StraightLine()
    opened = OsrmRoads(here, info) if kind.endswith("osrm") else DijkstraRoads.open(here, info)
    return CachedRoads(opened, tables) if kind.startswith("kept") else opened


@pytest.fixture(params=KINDS)
def engine(request, town_roads, tmp_path):
    opened = engine_of(request.param, town_roads, tmp_path)
    yield opened
    opened.close()


@pytest.fixture(params=["osrm", "dijkstra"])
def on_roads(request, town_roads, tmp_path):
    opened = engine_of(request.param, town_roads, tmp_path)
    yield opened
    opened.close()


def test_shapes_diagonal_and_words(engine):
    for _ in range(2):  # the second answer may be a kept one
        matrix = engine.travel_times(STOPS)
        assert matrix.travel_s.shape == matrix.travel_m.shape == (5, 5)
        assert matrix.snap_m.shape == (5,)
        assert not matrix.travel_s.diagonal().any()
        assert not matrix.travel_m.diagonal().any()
        assert matrix.source
        assert matrix.roads_used().source == matrix.source


@pytest.mark.parametrize("count", [0, 1])
def test_no_place_and_one_place_are_answered(engine, count):
    matrix = engine.travel_times(STOPS[:count])
    assert matrix.travel_s.tolist() == [[0.0]][:count]
    assert engine.line(STOPS[:count]) == ()


def test_no_drive_is_shorter_than_the_straight_line(engine):
    places = [street(c, r) for c in range(SIDE) for r in range(0, SIDE, 2)]
    travel_m = engine.travel_times(places).travel_m
    for i, a in enumerate(places):
        for j, b in enumerate(places):
            assert travel_m[i, j] >= 0.998 * WGS_84.inv(*a, *b)[2] - 1


def test_speeds_are_those_of_a_road_vehicle(engine):
    matrix = engine.travel_times(STOPS)
    apart = ~np.eye(5, dtype=bool)
    km_h = matrix.travel_m[apart] / matrix.travel_s[apart] * 3.6
    assert 10 < km_h.min() < km_h.max() < 100


def test_the_order_of_the_places_is_the_order_of_the_answer(engine):
    there = engine.travel_times(STOPS)
    back = engine.travel_times(STOPS[::-1])
    np.testing.assert_allclose(back.travel_s[::-1, ::-1], there.travel_s, atol=0.11)
    np.testing.assert_allclose(back.snap_m[::-1], there.snap_m, atol=0.1)


def test_the_same_question_has_the_same_answer(engine):
    first, second = engine.travel_times(STOPS), engine.travel_times(STOPS)
    np.testing.assert_array_equal(first.travel_s, second.travel_s)
    np.testing.assert_array_equal(first.travel_m, second.travel_m)
    assert first.warnings == second.warnings


@pytest.mark.parametrize("place", [LonLat(float("nan"), 30.0), LonLat(-40.0, 95.0)])
def test_a_place_without_a_position_is_refused(engine, place):
    with pytest.raises(RoadError, match="Place 2 has no usable position"):
        engine.travel_times([STOPS[0], place])
    with pytest.raises(RoadError, match="Place 2 has no usable position"):
        engine.line([STOPS[0], place])


def test_the_line_follows_the_roads_and_is_as_long_as_the_table_says(on_roads):
    line = on_roads.line(STOPS)
    assert WGS_84.inv(*line[0], *STOPS[0])[2] < 1
    assert WGS_84.inv(*line[-1], *STOPS[-1])[2] < 1
    drawn_m = WGS_84.line_length(*np.array(line).T)
    assert drawn_m == pytest.approx(
        on_roads.travel_times(STOPS).travel_m.diagonal(1).sum(), rel=0.01
    )


def test_an_island_is_never_given_a_time(on_roads):
    isle = street(2.5, -2.5)
    matrix = on_roads.travel_times([STOPS[0], isle, STOPS[3]])
    assert np.isnan(matrix.travel_s[[0, 1, 1, 2], [1, 0, 2, 1]]).all()
    assert np.isnan(matrix.travel_m[[0, 1, 1, 2], [1, 0, 2, 1]]).all()
    assert np.isfinite(matrix.travel_s[0, 2])
    assert any("place 2" in said for said in matrix.warnings)


def test_snapping_is_measured_warned_of_and_refused(on_roads):
    near, off, beyond = street(1.5, 1.4), street(8, 3.5), street(8, 10.5)
    matrix = on_roads.travel_times([near, off])
    assert matrix.snap_m[0] == pytest.approx(WGS_84.inv(*near, *street(1.5, 1))[2], rel=0.01)
    assert [said for said in matrix.warnings if "from the nearest road" in said] == [
        said for said in matrix.warnings if said.startswith("place 2")
    ]
    with pytest.raises(RoadError, match=r"No road within 2 km of place 2 \(.*place 4 \("):
        on_roads.travel_times([near, beyond, off, beyond])


def test_a_private_lane_ends_a_drive_but_shortens_none(on_roads):
    lane_m = WGS_84.inv(*street(0, 0), *street(1, 1))[2]
    matrix = on_roads.travel_times([street(0.1, 0), street(1, 0.9), street(0.5, 0.5)])
    assert matrix.travel_m[0, 1] > 1.2 * lane_m
    assert matrix.travel_m[0, 2] < 0.7 * lane_m
    assert matrix.snap_m[2] < 2


def test_a_track_ends_a_drive_but_shortens_none(on_roads):
    block_m = WGS_84.inv(*street(0, 3), *street(0, 4))[2]
    matrix = on_roads.travel_times([street(0, 2.9), street(0, 4.1), street(-0.9, 3.5)])
    assert matrix.travel_m[0, 1] == pytest.approx(1.2 * block_m, rel=0.01)
    assert np.isfinite(matrix.travel_s).all()
    assert matrix.snap_m[2] < 60


def test_a_one_way_street_costs_the_way_back(on_roads):
    matrix = on_roads.travel_times([street(4, 1.2), street(4, 1.8)])
    assert matrix.travel_m[1, 0] > 3 * matrix.travel_m[0, 1]


def test_both_engines_agree_on_the_town(town_roads, tmp_path):
    places = [street(c + 0.3, r) for c in range(SIDE - 1) for r in range(SIDE)]
    answers = []
    for kind in ("osrm", "dijkstra"):
        opened = engine_of(kind, town_roads, tmp_path)
        answers.append(opened.travel_times(places))
        opened.close()
    apart = ~np.eye(len(places), dtype=bool)
    length_share = answers[1].travel_m[apart] / answers[0].travel_m[apart]
    time_share = answers[1].travel_s[apart] / answers[0].travel_s[apart]
    assert 0.99 < np.median(length_share) < 1.01
    assert 0.7 < np.median(time_share) < 1.4
