"""OSRM where the network was built with it, else Dijkstra, else a straight line; each says so."""

import sys
from dataclasses import replace

import pytest
from pyproj import Geod

from registry.basemap.revisions import current_folder, read_about, write_about
from registry.errors import RoadError
from registry.roads import choose
from registry.roads.choose import road_engine
from registry.roads.network import build_network
from registry.roads.osrm_build import osrm_version
from tests.osm_town import BUILT_AT, quiet, street

PAIR = [street(0, 0), street(3, 3)]


@pytest.fixture
def own_roads(town_file, tmp_path):
    build_network(town_file, tmp_path, "Invented", BUILT_AT, quiet, with_basemap=False)
    return tmp_path


def answer(folder):
    with road_engine(folder) as roads:
        return roads.travel_times(PAIR)


@pytest.mark.skipif(not osrm_version(), reason="OSRM is not to be had here.")
def test_a_network_built_with_osrm_is_answered_by_osrm(own_roads):
    matrix = answer(own_roads)
    assert matrix.source == f"OSRM {osrm_version()} over town.osm"
    assert (matrix.built, matrix.credit) == (BUILT_AT, "Invented")


def test_where_osrm_is_missing_the_same_network_is_answered_by_dijkstra(own_roads, monkeypatch):
    monkeypatch.setattr(choose, "osrm_version", lambda: "")
    assert answer(own_roads).source == (
        "Dijkstra over town.osm, because OSRM is not to be had on this machine"
    )


def test_a_network_that_osrm_refused_says_why(own_roads):
    here = current_folder(own_roads)
    write_about(here, replace(read_about(here), engine="dijkstra", why_not_osrm="it is odd"))
    assert answer(own_roads).source == "Dijkstra over town.osm, because it is odd"


def test_without_a_network_straight_lines_are_used_and_said(tmp_path):
    matrix = answer(tmp_path)
    straight_m = Geod(ellps="WGS84").inv(*PAIR[0], *PAIR[1])[2]
    assert matrix.travel_m[0, 1] == pytest.approx(1.35 * straight_m)
    assert matrix.travel_s[0, 1] == pytest.approx(1.35 * straight_m / (45 / 3.6))
    assert "no road network was imported" in matrix.source
    assert "riserway import roads" in matrix.warnings[0]
    with road_engine(tmp_path) as roads:
        assert roads.line(PAIR) == ()


def test_a_damaged_network_is_never_replaced_by_straight_lines(own_roads):
    (own_roads / "current").write_text("gone")
    with pytest.raises(RoadError, match="Import the roads again"):
        road_engine(own_roads)


def test_another_credit_for_the_same_roads_shows_at_once(own_roads, town_file):
    answer(own_roads)
    build_network(town_file, own_roads, "Another", BUILT_AT, quiet, with_basemap=False)
    assert answer(own_roads).credit == "Another"


def test_osrm_is_not_loaded_into_the_process_that_plans(own_roads):
    answer(own_roads)
    assert "osrm" not in sys.modules
