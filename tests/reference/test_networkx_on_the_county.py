"""Travel times over the invented county's roads, against networkx.

Source: networkx (BSD licence), ``single_source_dijkstra_path_length``, over a graph that this test
makes itself, node by node, from the county's road file. Speeds and rule are ours; the graph,
its cutting into stretches, its weights and the search are not shared with it.
"""

from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import networkx
import numpy as np
import osmium
import pytest
from pyproj import Geod

from registry.records.places import Box, LonLat
from registry.records.roads import NetworkInfo
from registry.roads.drivable import truck_rule
from registry.roads.graph import JUNCTION_S, build_roads
from registry.roads.osm_file import read_ways
from registry.roads.with_dijkstra import DijkstraRoads

COUNTY = Path(__file__).parents[2] / "demo_sites" / "files" / "roads.osm.pbf"
WGS_84 = Geod(ellps="WGS84")


@pytest.fixture(scope="module")
def county():
    """The public roads, node by node, and where the nodes are."""
    graph, meets, places = networkx.DiGraph(), {}, {}
    ways = []
    for way in osmium.FileProcessor(str(COUNTY), osmium.osm.NODE | osmium.osm.WAY).with_locations():
        drive = truck_rule(dict(way.tags)) if way.is_way() else None
        if drive is None:
            continue
        for node in way.nodes:
            places[node.ref] = LonLat(node.lon, node.lat)
        for a, b in pairwise(node.ref for node in way.nodes):
            ways.append((a, b, drive))
            for end in (a, b):
                meets[end] = meets.get(end, 0) + 1
    for a, b, drive in ways:
        if drive.last_leg:
            continue
        lost_s = sum(JUNCTION_S / 2 for end in (a, b) if meets[end] >= 3)
        length_m = WGS_84.inv(*places[a], *places[b])[2]
        drive_s = length_m / (drive.speed_km_h / 3.6) + lost_s
        for source, target, may in ((a, b, drive.forward), (b, a, drive.backward)):
            if may:
                graph.add_edge(source, target, s=drive_s, m=length_m)
    return graph, meets, places


def test_times_and_lengths_are_those_of_networkx(county):
    theirs, meets, places = county
    joined = max(networkx.strongly_connected_components(theirs), key=len)
    crossings = sorted(node for node in joined if meets[node] >= 3)
    chosen = np.random.default_rng(1).choice(crossings, 40, replace=False).tolist()
    info = NetworkInfo(
        revision="0" * 16,
        source_file=COUNTY.name,
        digest="",
        built_at=datetime(2026, 6, 1, tzinfo=UTC),
        credit="",
        engine="dijkstra",
        engine_version="",
        box=Box(-180, -90, 180, 90),
    )
    engine = DijkstraRoads.over(*build_roads(read_ways(COUNTY, truck_rule)), info)
    ours = engine.travel_times([places[node] for node in chosen])
    for i, source in enumerate(chosen):
        length_s, path = networkx.single_source_dijkstra(theirs, source, weight="s")
        expected_s = [length_s[target] for target in chosen]
        expected_m = [networkx.path_weight(theirs, path[target], "m") for target in chosen]
        assert ours.travel_s[i] == pytest.approx(expected_s, abs=0.1)
        assert ours.travel_m[i] == pytest.approx(expected_m, abs=2)
    assert np.isfinite(ours.travel_s).all()
    assert ours.travel_s.max() > 1_200
