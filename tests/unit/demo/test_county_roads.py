"""The roads of the invented county: joined, believable, searched as networkx searches them."""

import csv
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import networkx as nx
import numpy as np
import pytest

from demo_sites import make_county
from registry.records.places import LonLat

if TYPE_CHECKING:
    from registry.records.roads import NetworkInfo
    from registry.roads.graph import Graph
    from registry.roads.stretches import Stretches

ROADS = Path(make_county.__file__).with_name("files") / "roads.osm.pbf"
type Ways = list[tuple[tuple[int, ...], dict[str, str]]]

ROUNDED_S = 0.3
"""Our search adds whole milliseconds over some hundreds of stretches."""


@pytest.fixture(scope="module")
def ways() -> Ways:
    import osmium

    roads = osmium.FileProcessor(str(ROADS), osmium.osm.WAY).with_filter(
        osmium.filter.KeyFilter("highway")
    )
    return [(tuple(node.ref for node in way.nodes), dict(way.tags)) for way in roads]


@pytest.fixture(scope="module")
def county() -> "tuple[Graph, Stretches]":
    from registry.roads.drivable import truck_rule
    from registry.roads.graph import build_roads
    from registry.roads.osm_file import read_ways

    return build_roads(read_ways(ROADS, truck_rule))


@pytest.fixture(scope="module")
def county_graph(county: "tuple[Graph, Stretches]") -> "Graph":
    return county[0]


def test_every_road_can_be_reached_from_every_other_and_back(ways: Ways) -> None:
    """Strongly connected by networkx, one-way streets counted."""
    graph = nx.DiGraph()
    for nodes, tags in ways:
        graph.add_edges_from(pairwise(nodes))
        if tags.get("oneway") != "yes":
            graph.add_edges_from(pairwise(reversed(nodes)))
    assert nx.is_strongly_connected(graph)


def test_the_county_has_what_its_description_says(ways: Ways) -> None:
    tags = [tags for _, tags in ways]
    assert {one["bridge:name"] for one in tags if one.get("bridge") == "yes"} == {
        "Millhaver Bridge",
        "Upper Thane Bridge",
    }
    assert sum(one.get("oneway") == "yes" for one in tags) == 2
    assert sum(one.get("surface") == "gravel" for one in tags) > 100
    assert sum(one.get("access") == "private" for one in tags) > 100
    uses: dict[int, int] = {}
    for nodes, _ in ways:
        for node in nodes:
            uses[node] = uses.get(node, 0) + 1
    dead_ends = sum(uses[nodes[-1]] == 1 for nodes, _ in ways)
    assert dead_ends > 300


def test_the_river_is_crossed_on_its_two_bridges_only(ways: Ways) -> None:
    """Without the bridges, no road leads from the north bank to the south bank."""
    graph = nx.Graph()
    for nodes, tags in ways:
        if tags.get("bridge") != "yes":
            graph.add_edges_from(pairwise(nodes))
    assert nx.number_connected_components(graph) == 2


def test_our_search_finds_the_ways_that_networkx_finds(
    county: "tuple[Graph, Stretches]", county_graph: "Graph", network: "NetworkInfo"
) -> None:
    """networkx, shortest_path_length (Dijkstra), between junctions of the public roads."""
    from registry.roads.with_dijkstra import DijkstraRoads

    road = nx.DiGraph()
    for i in np.flatnonzero(~county_graph.last_leg).tolist():
        a, b = int(county_graph.start[i]), int(county_graph.end[i])
        cost = float(county_graph.drive_s[i])
        for one, other, may in ((a, b, county_graph.forward[i]), (b, a, county_graph.backward[i])):
            if may and cost < road.get_edge_data(one, other, {"s": np.inf})["s"]:
                road.add_edge(one, other, s=cost)
    chosen = sorted(max(nx.strongly_connected_components(road), key=len))[::61]
    places = [LonLat(*county_graph.lon_lat_deg[one].tolist()) for one in chosen]
    ours = DijkstraRoads.over(*county, network).travel_times(places).travel_s
    theirs = np.array(
        [
            [reached[target] for target in chosen]
            for source in chosen
            for reached in [nx.single_source_dijkstra_path_length(road, source, weight="s")]
        ]
    )
    assert len(chosen) >= 15
    assert np.abs(ours - theirs).max() < ROUNDED_S


def test_every_site_is_reached_and_stands_near_its_road(
    county: "tuple[Graph, Stretches]", network: "NetworkInfo"
) -> None:
    from registry.roads.with_dijkstra import DijkstraRoads

    with ROADS.with_name("sites.csv").open(encoding="utf-8", newline="") as stream:
        places = [
            LonLat(float(row["lon"]), float(row["lat"]))
            for row in csv.DictReader(stream)
            if row["lon"]
        ]
    matrix = DijkstraRoads.over(*county, network).travel_times(places)
    assert not np.isnan(matrix.travel_s).any()
    assert matrix.warnings == ()
    assert matrix.snap_m.max() < 100


@pytest.fixture(scope="module")
def network() -> "NetworkInfo":
    from registry.records.places import Box
    from registry.records.roads import NetworkInfo

    return NetworkInfo(
        revision="test",
        source_file=ROADS.name,
        digest="",
        built_at=datetime(2026, 6, 9, tzinfo=UTC),
        credit="invented",
        engine="dijkstra",
        engine_version="",
        box=Box(0, 0, 0, 0),
    )
