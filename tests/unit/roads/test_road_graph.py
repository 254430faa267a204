"""Ways become junctions and stretches; lengths agree with networkx and with the great circle."""

from itertools import pairwise
from math import asin, cos, hypot, radians, sin, sqrt

import networkx
import numpy as np
import pytest

from registry.errors import RoadError
from registry.records.places import LonLat
from registry.roads.drivable import plain_rule, truck_rule
from registry.roads.graph import Graph, build_graph
from registry.roads.osm_file import read_ways
from registry.units import EARTH_RADIUS_M
from tests.osm_town import ISLE_A, PLACES, street, town, write_osm


def great_circle_m(a, b):
    """Haversine on the mean sphere."""
    lat_a, lat_b = radians(a.lat), radians(b.lat)
    half = hypot(
        sin((lat_b - lat_a) / 2), sqrt(cos(lat_a) * cos(lat_b)) * sin(radians(b.lon - a.lon) / 2)
    )
    return 2 * EARTH_RADIUS_M * asin(half)


def by_networkx():
    """The town by the plain rule, built by another library from the same ways."""
    nodes, ways = town()
    graph = networkx.DiGraph()
    for refs, tags in ways:
        drive = plain_rule(tags)
        if drive is None:
            continue
        for a, b in pairwise(refs):
            length_m = great_circle_m(nodes[a], nodes[b])
            if drive.forward:
                graph.add_edge(a, b, length_m=length_m)
            if drive.backward:
                graph.add_edge(b, a, length_m=length_m)
    return graph


def test_every_node_as_a_junction_gives_the_graph_that_networkx_has(town_file):
    ours = build_graph(read_ways(town_file, plain_rule), every_node=True)
    theirs = by_networkx()
    assert ours.junctions == theirs.number_of_nodes()
    assert ours.forward.sum() + ours.backward.sum() == theirs.number_of_edges()
    parts = sorted(map(len, networkx.strongly_connected_components(theirs)))
    assert sorted(np.bincount(ours.parts()).tolist()) == parts
    assert ours.joined_share() == pytest.approx(max(parts) / theirs.number_of_nodes())


def test_lengths_on_the_ellipsoid_are_within_half_a_percent_of_the_sphere(town_file):
    ours = build_graph(read_ways(town_file, plain_rule), every_node=True)
    for start, end, length_m in zip(ours.start, ours.end, ours.length_m, strict=True):
        a, b = (LonLat(*ours.lon_lat_deg[node]) for node in (start, end))
        assert length_m == pytest.approx(great_circle_m(a, b), rel=5e-3)


def test_a_node_that_only_gives_shape_is_no_junction(tmp_path):
    bend = write_osm(
        tmp_path / "bend.osm",
        {1: street(0, 0), 2: street(1, 1), 3: street(2, 0)},
        [([1, 2, 3], {"highway": "residential"})],
    )
    graph = build_graph(read_ways(bend, truck_rule))
    assert (graph.junctions, len(graph.start), len(graph.shape)) == (2, 1, 3)


def test_a_road_ends_where_its_node_is_missing(tmp_path):
    cut = write_osm(
        tmp_path / "cut.osm",
        {1: street(0, 0), 2: street(1, 0), 4: street(3, 0), 5: street(4, 0)},
        [([1, 2, 3, 4, 5], {"highway": "residential"})],
    )
    ways = read_ways(cut, truck_rule)
    graph = build_graph(ways)
    assert ways.missing_nodes == 1
    assert len(graph.start) == 2
    assert graph.joined_share() == 0.5


def test_a_file_without_the_nodes_of_its_ways_is_refused(tmp_path):
    empty = write_osm(tmp_path / "e.osm", {1: street(0, 0)}, [([1, 2], {"highway": "road"})])
    with pytest.raises(RoadError, match="lacks the nodes"):
        build_graph(read_ways(empty, truck_rule))


def test_the_island_is_not_joined(town_file):
    graph = build_graph(read_ways(town_file, truck_rule))
    on_island = graph.lon_lat_deg[graph.start, 1] == PLACES[ISLE_A].lat
    assert on_island.sum() == 1
    assert not graph.joined[on_island].any()
    assert graph.joined.sum() > len(graph.start) / 2


def test_a_saved_graph_comes_back_as_it_was(town_file, tmp_path):
    graph = build_graph(read_ways(town_file, truck_rule))
    graph.save(tmp_path / "graph.npz")
    back = Graph.load(tmp_path / "graph.npz")
    for name in Graph.__slots__:
        np.testing.assert_array_equal(getattr(back, name), getattr(graph, name))


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 cut short", b"no archive"])
def test_a_damaged_graph_is_refused_in_a_sentence(tmp_path, content):
    (tmp_path / "graph.npz").write_bytes(content)
    with pytest.raises(RoadError, match="Import the roads again"):
        Graph.load(tmp_path / "graph.npz")
