"""Travel times over the invented county with roads closed, against networkx.

Source: networkx (BSD licence), ``single_source_dijkstra_path_length``, over a graph that this test
makes itself, node by node, and takes the barred edges out of: those whose straight piece runs
through a closed area or crosses a closed line (shapely's predicates on longitude and latitude), and
those of ways whose sign a truck may not pass. Speeds are ours; finding what is closed, cutting the
network there, and the search are not shared with it.
"""

from datetime import UTC, date, datetime
from itertools import pairwise
from pathlib import Path

import networkx
import numpy as np
import osmium
import pytest
import shapely
from pyproj import Geod

from registry.records.closures import Closure
from registry.records.places import Box, LonLat
from registry.records.roads import NetworkInfo, RoadConditions, VehicleLimits
from registry.roads.drivable import truck_rule
from registry.roads.graph import JUNCTION_S, build_roads
from registry.roads.network import build_network
from registry.roads.osm_file import read_ways
from registry.roads.osrm_build import osrm_version
from registry.roads.with_dijkstra import DijkstraRoads
from registry.roads.with_osrm import OsrmRoads

COUNTY = Path(__file__).parents[2] / "demo_sites" / "files" / "roads.osm.pbf"
WGS_84 = Geod(ellps="WGS84")
DAY = date(2026, 6, 9)
SIGNS = {
    "Thane Road": {"maxweight": "10 st"},
    "River Road": {"maxheight": "9'6\""},
    "Main Street": {"hgv": "no"},
}
"""Signs that this test puts up."""
AREA = shapely.box(-139.99, 44.94, -139.96, 45.0)
CROSSING = shapely.LineString([(-140.05, 44.9), (-140.049, 45.02)])
CONDITIONS = {
    "nothing": RoadConditions(),
    "an area": RoadConditions(closures=(Closure(name="water", shape=AREA, first_on=DAY),)),
    "a line": RoadConditions(closures=(Closure(name="cut", shape=CROSSING, first_on=DAY),)),
}
TRUCKS = {
    "any truck": None,
    "a light one": VehicleLimits(weight_lb=7_000.0, height_ft=9.0),
    "a heavy one": VehicleLimits(weight_lb=26_000.0, height_ft=9.0),
    "a high one": VehicleLimits(weight_lb=7_000.0, height_ft=10.5),
}
BARRED = {"a heavy one": {"Thane Road", "Main Street"}, "a high one": {"River Road"}}


@pytest.fixture(scope="module")
def signed_county(tmp_path_factory):
    """The county's roads with the signs of this test."""
    path = tmp_path_factory.mktemp("signed") / "signed.osm.pbf"
    with osmium.SimpleWriter(str(path)) as out:
        for one in osmium.FileProcessor(str(COUNTY)):
            tags = dict(one.tags)
            if one.is_way() and tags.get("name") in SIGNS:
                out.add_way(one.replace(tags=tags | SIGNS[tags["name"]]))
            else:
                out.add(one)
    return path


@pytest.fixture(scope="module")
def pieces(signed_county):
    """Every piece of public road: its two nodes, its name, and how it is driven; the places."""
    found, places = [], {}
    reader = osmium.FileProcessor(str(signed_county), osmium.osm.NODE | osmium.osm.WAY)
    for way in reader.with_locations():
        drive = truck_rule(dict(way.tags)) if way.is_way() else None
        if drive is None:
            continue
        for node in way.nodes:
            places[node.ref] = LonLat(node.lon, node.lat)
        name = way.tags.get("name", "")
        found += [(a, b, name, drive) for a, b in pairwise(node.ref for node in way.nodes)]
    return found, places


def by_networkx(pieces, closed, barred):
    """The graph of what is open, and its crossings."""
    found, places = pieces
    graph, meets = networkx.DiGraph(), {}
    for a, b, _, _ in found:
        for end in (a, b):
            meets[end] = meets.get(end, 0) + 1
    for a, b, name, drive in found:
        line = shapely.LineString([places[a], places[b]])
        if drive.last_leg or name in barred or any(one.intersects(line) for one in closed):
            continue
        lost_s = sum(JUNCTION_S / 2 for end in (a, b) if meets[end] >= 3)
        length_m = WGS_84.inv(*places[a], *places[b])[2]
        drive_s = length_m / (drive.speed_km_h / 3.6) + lost_s
        for source, target, may in ((a, b, drive.forward), (b, a, drive.backward)):
            if may:
                graph.add_edge(source, target, s=drive_s, m=length_m)
    return graph, meets


def info(file):
    return NetworkInfo(
        revision="0" * 16,
        source_file=file.name,
        digest="",
        built_at=datetime(2026, 6, 1, tzinfo=UTC),
        credit="",
        engine="dijkstra",
        engine_version="",
        box=Box(-180, -90, 180, 90),
    )


@pytest.fixture(scope="module")
def dijkstra(signed_county):
    return DijkstraRoads.over(
        *build_roads(read_ways(signed_county, truck_rule)), info(signed_county)
    )


@pytest.fixture(scope="module")
def osrm(signed_county, tmp_path_factory):
    if not osrm_version():
        pytest.skip("OSRM is not to be had here.")
    folder = tmp_path_factory.mktemp("osrm")
    now = datetime(2026, 6, 1, tzinfo=UTC)
    built = build_network(
        signed_county, folder, "Invented", now, lambda *_: None, with_basemap=False
    )
    engine = OsrmRoads(folder / built.revision, built)
    yield engine
    engine.close()


def expected(pieces, conditions, truck):
    """Crossings that have an open public road, and seconds and metres between them; nan = none."""
    closed = [one.shape for one in CONDITIONS[conditions].closures]
    whole, _ = by_networkx(pieces, [], set())
    joined = max(networkx.strongly_connected_components(whole), key=len)
    graph, meets = by_networkx(pieces, closed, BARRED.get(truck, set()))
    crossings = sorted(node for node in graph if meets[node] >= 3 and node in joined)
    chosen = np.random.default_rng(2).choice(crossings, 30, replace=False).tolist()
    travel_s, travel_m = np.full((30, 30), np.nan), np.full((30, 30), np.nan)
    for i, source in enumerate(chosen):
        length_s, path = networkx.single_source_dijkstra(graph, source, weight="s")
        for j, target in enumerate(chosen):
            if target in length_s:
                travel_s[i, j] = length_s[target]
                travel_m[i, j] = networkx.path_weight(graph, path[target], "m")
    return [pieces[1][node] for node in chosen], travel_s, travel_m


@pytest.mark.parametrize("truck", TRUCKS)
@pytest.mark.parametrize("conditions", CONDITIONS)
def test_times_and_what_is_cut_off_are_those_of_networkx(pieces, dijkstra, conditions, truck):
    places, travel_s, travel_m = expected(pieces, conditions, truck)
    roads = dijkstra.under(CONDITIONS[conditions])
    ours = roads.travel_times(places, limits=TRUCKS[truck])
    np.testing.assert_array_equal(np.isnan(ours.travel_s), np.isnan(travel_s))
    np.testing.assert_allclose(ours.travel_s, travel_s, atol=0.15)
    np.testing.assert_allclose(ours.travel_m, travel_m, atol=2)
    if conditions == "an area" or truck == "a heavy one":
        whole = dijkstra.travel_times(places)
        assert np.nansum(ours.travel_s - whole.travel_s) > 1_000 or np.isnan(ours.travel_s).any()


@pytest.mark.parametrize("truck", TRUCKS)
@pytest.mark.parametrize("conditions", CONDITIONS)
def test_osrm_cuts_off_the_same_places_and_drives_as_far(pieces, osrm, conditions, truck):
    """OSRM has speeds of its own, so lengths may differ where two ways take nearly as long."""
    places, travel_s, travel_m = expected(pieces, conditions, truck)
    theirs = osrm.under(CONDITIONS[conditions]).travel_times(places, limits=TRUCKS[truck])
    np.testing.assert_array_equal(np.isnan(theirs.travel_s), np.isnan(travel_s))
    apart = np.isfinite(travel_m) & (travel_m > 0)
    share = theirs.travel_m[apart] / travel_m[apart]
    assert 0.97 < np.median(share) < 1.03
    assert 0.95 < np.quantile(share, 0.1) < np.quantile(share, 0.9) < 1.1
