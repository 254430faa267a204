"""Both engines against six published OpenStreetMap extracts.

Source: OpenStreetMap data, © OpenStreetMap contributors, ODbL 1.0, in extracts published with the
tests of open routing software. What is expected was computed beforehand and lies beside the
extracts: ``expected.json`` has counts and graph facts, ``od_expected.csv`` for 25 drives of each
extract the straight line, the shortest path (another program's Dijkstra, haversine, no service
roads, no turn restrictions) and OSRM's own car distance and duration. The bands below are those
that its description states.
"""

import csv
import json
from datetime import UTC, datetime

import numpy as np
import pytest

from registry.basemap.revisions import current_folder, read_about
from registry.records.places import LonLat
from registry.roads.drivable import plain_rule, truck_rule
from registry.roads.graph import build_graph
from registry.roads.network import build_network
from registry.roads.osm_file import read_ways
from registry.roads.osrm_build import osrm_version
from registry.roads.with_dijkstra import DijkstraRoads
from registry.roads.with_osrm import OsrmRoads
from tests.once import once

EXTRACTS = ("felton_ca", "bangor_maine", "harrisburg", "liechtenstein-latest")
ODD_IDS = "portland_or_filtered"


def folder_of(reference_data):
    return reference_data / "data" / "osm"


@pytest.fixture(scope="session")
def expected(reference_data):
    return json.loads((folder_of(reference_data) / "expected.json").read_text())


@pytest.fixture(scope="session")
def drives(reference_data):
    with (folder_of(reference_data) / "od_expected.csv").open() as stream:
        return list(csv.DictReader(stream))


def built(name, reference_data, run_folder):
    """Build an extract once for a whole run."""

    def make(folder):
        build_network(
            folder_of(reference_data) / f"{name}.osm.pbf",
            folder,
            "© OpenStreetMap contributors",
            datetime(2026, 6, 1, tzinfo=UTC),
            lambda _text, _share: None,
            with_basemap=False,
        )

    return once(run_folder, f"osm_{name}", make)


@pytest.fixture(
    params=[
        *((name, kind) for name in EXTRACTS for kind in ("osrm", "dijkstra")),
        (ODD_IDS, "dijkstra"),
    ],
    ids="-".join,
)
def drive(request, reference_data, run_folder):
    """An extract's name, an engine over it, and what it is called."""
    name, kind = request.param
    if kind == "osrm" and not osrm_version():
        pytest.skip("OSRM is not to be had here.")
    roads = built(name, reference_data, run_folder)
    here = current_folder(roads)
    info = read_about(here)
    engine = OsrmRoads(here, info) if kind == "osrm" else DijkstraRoads.open(here, info)
    yield name, kind, engine
    engine.close()


@pytest.fixture
def pairs(drive, drives):
    """The rows of an extract's 25 drives, their ends, and the table between all of these."""
    name, _, engine = drive
    rows = [row for row in drives if row["pair"].startswith(name)]
    ends = [LonLat(float(row["from_lon"]), float(row["from_lat"])) for row in rows]
    ends += [LonLat(float(row["to_lon"]), float(row["to_lat"])) for row in rows]
    return rows, ends, engine.travel_times(ends)


def column(rows, name):
    """A column as numbers, nan where OSRM found no route or refused the file."""
    return np.array([float(row[name]) if row[name][:1].isdigit() else np.nan for row in rows])


def there(table):
    """From each drive's start to its end."""
    half = len(table) // 2
    return table[np.arange(half), np.arange(half) + half]


def back(table):
    """From each drive's end to its start."""
    return there(table.T)


@pytest.mark.parametrize("name", [*EXTRACTS, "columbus_oh"])
def test_the_plain_graph_is_the_published_one(name, reference_data, expected):
    facts = expected[f"{name}.osm.pbf"]
    graph = build_graph(
        read_ways(folder_of(reference_data) / f"{name}.osm.pbf", plain_rule), every_node=True
    )
    parts = np.bincount(graph.parts())
    assert graph.junctions == facts["graph_nodes"]
    assert len(parts) == facts["strong_components"]
    assert parts.max() == facts["largest_scc_nodes"]
    assert round(graph.joined_share(), 5) == facts["largest_scc_share"]
    assert graph.length_m.sum() / 1000 == pytest.approx(facts["undirected_km"], rel=2e-3)


@pytest.mark.parametrize("name", EXTRACTS)
def test_drivable_ways_are_those_published_but_for_private_lanes_and_tracks(
    name, reference_data, expected
):
    ways = read_ways(folder_of(reference_data) / f"{name}.osm.pbf", truck_rule)
    published = expected[f"{name}.osm.pbf"]["drv"]
    assert (~ways.last_leg).sum() <= published
    assert len(ways.forward) >= 0.98 * published


@pytest.mark.parametrize("name", EXTRACTS)
def test_shortest_paths_on_the_plain_graph_are_the_published_ones(name, reference_data, drives):
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import dijkstra

    graph = build_graph(
        read_ways(folder_of(reference_data) / f"{name}.osm.pbf", plain_rule), every_node=True
    )
    a, b, f, r = graph.start, graph.end, graph.forward, graph.backward
    arcs = np.concatenate([np.stack([a[f], b[f]]), np.stack([b[r], a[r]])], axis=1)
    weight = np.concatenate([graph.length_m[f], graph.length_m[r]])
    order = np.lexsort((weight, *arcs))
    first = np.concatenate([[True], np.diff(arcs[:, order]).any(axis=0)])
    shortest = order[first]  # of parallel ways
    matrix = csr_array((weight[shortest], arcs[:, shortest]), shape=(graph.junctions,) * 2)
    node = {tuple(place): number for number, place in enumerate(graph.lon_lat_deg.tolist())}
    for row in drives:
        if row["pair"].startswith(name):
            source = node[float(row["from_lon"]), float(row["from_lat"])]
            target = node[float(row["to_lon"]), float(row["to_lat"])]
            ours_m = dijkstra(matrix, indices=source)[target]
            # Theirs is measured on the sphere, ours on the ellipsoid: up to 0.4 % apart.
            theirs_m = float(row["shortest_path_m_own_dijkstra"])
            assert ours_m == pytest.approx(theirs_m, rel=4e-3)


def test_no_drive_is_shorter_than_its_straight_line(pairs):
    rows, _, matrix = pairs
    for lengths_m in (there(matrix.travel_m), back(matrix.travel_m)):
        found = np.isfinite(lengths_m)
        assert (lengths_m[found] >= 0.999 * column(rows, "straight_line_m")[found]).all()


def test_drives_are_about_as_long_as_the_shortest_path(pairs):
    rows, _, matrix = pairs
    share = there(matrix.travel_m) / column(rows, "shortest_path_m_own_dijkstra")
    assert np.nanmin(share) >= 0.85
    assert np.nanmax(share) <= 1.75


def test_drives_take_about_as_long_as_by_osrm(pairs, drive):
    rows, _, matrix = pairs
    share = there(matrix.travel_s) / column(rows, "osrm_car_duration_s")
    if drive[0] == ODD_IDS:  # OSRM refused the file: no duration was published
        assert np.isnan(share).all()
        return
    assert 0.8 <= np.nanmedian(share) <= 1.3
    assert np.nanmin(share) >= 0.5
    assert np.nanmax(share) <= 2.0


def test_mean_speeds_are_those_of_a_road_vehicle(pairs):
    _, _, matrix = pairs
    km_h = 3.6 * there(matrix.travel_m) / there(matrix.travel_s)
    assert np.nanmin(km_h) >= 20
    assert np.nanmax(km_h) <= 95


def test_both_ways_exist_unless_osrm_itself_found_none_and_that_is_named(pairs, drive):
    rows, ends, matrix = pairs
    no_route = np.array([row["osrm_car_distance_m"] == "NoRoute" for row in rows])
    lost = np.isnan(there(matrix.travel_s)) | np.isnan(back(matrix.travel_s))
    if drive[1] == "dijkstra":
        assert not lost.any()
        return
    assert not (lost & ~no_route).any()
    half = len(rows)
    for i in np.flatnonzero(lost).tolist():
        named = [f"({ends[j].lon:.5f}, {ends[j].lat:.5f})" for j in (i, i + half)]
        assert any(name in said for said in matrix.warnings for name in named)


def test_a_place_outside_the_main_part_is_named_or_truly_reached(pairs, drive, expected):
    name, _, engine = drive
    outside = [LonLat(*place) for place in expected[f"{name}.osm.pbf"]["outside_examples"]]
    if not outside:
        assert expected[f"{name}.osm.pbf"]["strong_components"] == 1
        return
    _, ends, _ = pairs
    matrix = engine.travel_times([*ends[:5], *outside])
    for i, place in enumerate(outside, start=5):
        named = any(f"place {i + 1} ({place.lon:.5f}" in said for said in matrix.warnings)
        times = np.concatenate([matrix.travel_s[i, :5], matrix.travel_s[:5, i]])
        if np.isnan(times).any():
            assert named
            continue
        assert named or matrix.snap_m[i] < 1  # it stands on a service road, which is no invention
        straight_m = np.array([_straight_m(place, end) for end in ends[:5]])
        assert (matrix.travel_m[i, :5] >= 0.999 * straight_m - matrix.snap_m[i]).all()
        assert (3.6 * matrix.travel_m[i, :5] / matrix.travel_s[i, :5] < 95).all()


def _straight_m(a, b):
    from pyproj import Geod

    return Geod(ellps="WGS84").inv(*a, *b)[2]
