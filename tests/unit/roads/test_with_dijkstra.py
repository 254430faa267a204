"""Our search over the town, against networkx and against what a map reader would say."""

from datetime import UTC, datetime

import networkx
import numpy as np
import pytest
from pyproj import Geod

from registry.errors import RoadError
from registry.records.places import Box
from registry.records.roads import NetworkInfo
from registry.roads.drivable import truck_rule
from registry.roads.graph import build_roads
from registry.roads.layers import DM_UNIT, time_and_length, weight_of
from registry.roads.osm_file import read_ways
from registry.roads.with_dijkstra import DijkstraRoads
from tests.osm_town import FAR_END, ISLE_A, ISLE_B, PLACES, SIDE, TRACK_END, street

INFO = NetworkInfo(
    revision="0" * 16,
    source_file="town.osm",
    digest="",
    built_at=datetime(2026, 6, 1, tzinfo=UTC),
    credit="",
    engine="dijkstra",
    engine_version="",
    box=Box(-41, 29, -39, 31),
)


@pytest.fixture(scope="module")
def town(town_file):
    return build_roads(read_ways(town_file, truck_rule))


@pytest.fixture(scope="module")
def graph(town):
    return town[0]


@pytest.fixture(scope="module")
def roads(town):
    return DijkstraRoads.over(*town, INFO)


def by_networkx(graph):
    """The same stretches as a graph of networkx, lanes and tracks left out."""
    theirs = networkx.DiGraph()
    for i in np.flatnonzero(~graph.last_leg).tolist():
        a, b = int(graph.start[i]), int(graph.end[i])
        for source, target, may in ((a, b, graph.forward[i]), (b, a, graph.backward[i])):
            if may:
                theirs.add_edge(source, target, s=graph.drive_s[i], m=graph.length_m[i])
    return theirs


def test_times_between_corners_are_those_of_networkx(graph, roads):
    theirs = by_networkx(graph)
    corners = [street(c, r) for c in range(SIDE) for r in range(SIDE)] + [PLACES[FAR_END]]
    nodes = [
        int(np.abs(graph.lon_lat_deg - np.array(place)).sum(axis=1).argmin()) for place in corners
    ]
    ours = roads.travel_times(corners)
    for i, source in enumerate(nodes):
        shortest_s = networkx.single_source_dijkstra_path_length(theirs, source, weight="s")
        expected_s = [shortest_s[target] for target in nodes]
        assert ours.travel_s[i] == pytest.approx(expected_s, abs=0.02)


def test_lengths_are_those_of_the_quickest_path(graph, roads):
    theirs = by_networkx(graph)
    a, b = street(0, 0), PLACES[FAR_END]
    source, target = (
        int(np.abs(graph.lon_lat_deg - np.array(place)).sum(axis=1).argmin()) for place in (a, b)
    )
    path = networkx.shortest_path(theirs, source, target, weight="s")
    length_m = networkx.path_weight(theirs, path, weight="m")
    assert roads.travel_times([a, b]).travel_m[0, 1] == pytest.approx(length_m, abs=1.0)


def test_a_one_way_street_is_driven_round(roads):
    south, north = street(4, 1.25), street(4, 1.75)
    times = roads.travel_times([south, north])
    block_m = 0.5 * Geod(ellps="WGS84").inv(*street(4, 1), *street(4, 2))[2]
    assert times.travel_m[0, 1] == pytest.approx(block_m, abs=1.0)
    assert times.travel_m[1, 0] > 4 * block_m


def test_part_of_a_stretch_takes_part_of_its_time(roads):
    times = roads.travel_times([street(1, 0), street(1.25, 0), street(1.5, 0), street(2, 0)])
    assert times.travel_m[1, 2] == pytest.approx(times.travel_m[0, 3] / 4, abs=0.2)
    assert times.travel_s[1, 2] == pytest.approx(times.travel_s[0, 3] / 4, abs=0.02)
    assert times.travel_m[2, 1] == pytest.approx(times.travel_m[1, 2], abs=0.2)


def test_a_private_lane_is_no_short_cut(roads):
    across = roads.travel_times([street(0, 0), street(1, 1)])
    along_m = (
        Geod(ellps="WGS84").inv(*street(0, 0), *street(1, 0))[2]
        + Geod(ellps="WGS84").inv(*street(1, 0), *street(1, 1))[2]
    )
    assert across.travel_m[0, 1] == pytest.approx(along_m, rel=2e-3)


def test_a_drive_may_end_on_a_private_lane_and_leave_by_either_end(roads):
    on_lane = street(0.5, 0.5)
    times = roads.travel_times([on_lane, street(0, 0), street(1, 1)])
    half_m = 0.5 * Geod(ellps="WGS84").inv(*street(0, 0), *street(1, 1))[2]
    for end in (1, 2):
        assert times.travel_m[0, end] == pytest.approx(half_m, rel=5e-3)
        assert times.travel_m[end, 0] == pytest.approx(half_m, rel=5e-3)


def test_a_track_leads_to_a_place_on_it_but_not_through(roads):
    times = roads.travel_times([street(0, 3), PLACES[TRACK_END], street(0, 4)])
    block_m = Geod(ellps="WGS84").inv(*street(0, 3), *street(0, 4))[2]
    assert times.travel_m[0, 2] == pytest.approx(block_m, abs=1.0)
    assert not np.isnan(times.travel_s).any()


def test_an_island_is_not_reachable_and_is_named(roads):
    isle = street(2.5, -2.52)
    times = roads.travel_times([street(0, 0), isle, street(3, 3)])
    assert np.isnan(times.travel_s[1, [0, 2]]).all()
    assert np.isnan(times.travel_s[[0, 2], 1]).all()
    assert np.isfinite(times.travel_s[0, 2])
    assert any(f"place 2 ({isle.lon:.5f}" in said for said in times.warnings)
    assert roads.line([street(0, 0), isle]) == ()


def test_two_places_on_one_island_reach_each_other(roads):
    times = roads.travel_times([PLACES[ISLE_A], PLACES[ISLE_B]])
    assert np.isfinite(times.travel_s).all()


def test_a_gap_in_the_map_before_a_drive_is_bridged_and_said(roads):
    drive = street(2.5, 5.1)
    times = roads.travel_times([street(0, 0), drive])
    assert np.isfinite(times.travel_s).all()
    assert any("does not join" in said and "place 2" in said for said in times.warnings)
    assert times.snap_m[1] == pytest.approx(33, abs=2)


def test_a_place_far_from_any_road_is_warned_of_and_a_farther_one_refused(roads):
    near, far, farther = street(8, 3.5), street(8, 10.5), street(20, 3)
    times = roads.travel_times([street(0, 0), near])
    assert any("place 2" in said and "from the nearest road" in said for said in times.warnings)
    with pytest.raises(RoadError, match=r"place 2 .*place 4 ") as refused:
        roads.travel_times([street(0, 0), far, near, farther])
    assert "place 3" not in str(refused.value)


def test_the_line_ends_at_the_places_and_is_as_long_as_the_times_say(roads):
    stops = [street(0.5, 0), street(3.5, 2), PLACES[FAR_END], street(4, 1.75), street(4, 1.25)]
    line = roads.line(stops)
    assert line[0] == pytest.approx(stops[0], abs=1e-6)
    assert line[-1] == pytest.approx(stops[-1], abs=1e-6)
    along_m = roads.travel_times(stops).travel_m.diagonal(1).sum()
    drawn_m = Geod(ellps="WGS84").line_length(*np.array(line).T)
    assert drawn_m == pytest.approx(along_m, rel=1e-3)
    assert len(line) > len(stops)


def test_it_says_why_osrm_was_not_used(roads):
    assert "Dijkstra" in roads.travel_times([street(0, 0)]).source
    assert "OSRM is not to be had" in roads.travel_times([street(0, 0)]).source


def test_time_and_length_add_up_exactly_in_one_number():
    drive_s = np.full(100_000, 1.234)
    length_m = np.full(100_000, 23.4)
    total_s, total_m = time_and_length(weight_of(drive_s, length_m).sum(keepdims=True))
    assert total_s[0] == pytest.approx(123_400, abs=1e-9)
    assert total_m[0] == pytest.approx(2_340_000, abs=1e-6)
    assert DM_UNIT * 3_355_000 * 10 < 1
