"""``riserway import roads`` and ``riserway bench roads``: keys, sentences and endings."""

import json

import pytest

from registry.cli.bench_roads import command as bench
from registry.cli.endings import run_with_clear_endings
from registry.cli.import_roads import command as import_roads
from registry.roads.network import current_network
from tests.osm_town import ISLE_A, PLACES, street, write_osm

COUNTS = ("read", "added", "changed", "unchanged", "rejected", "rejects_file")


@pytest.fixture
def store(tmp_path):
    return f"sqlite:///{tmp_path / 'store.sqlite'}"


@pytest.fixture
def small(tmp_path):
    return write_osm(
        tmp_path / "small.osm",
        {1: street(0, 0), 2: street(1, 1)},
        [([1, 2], {"highway": "residential"})],
    )


def test_an_import_counts_its_ways_and_the_same_file_again_changes_nothing(small, store, capsys):
    assert run_with_clear_endings(import_roads, [str(small), "--store", store, "--json"]) == 0
    first = json.loads(capsys.readouterr().out)
    assert [first[key] for key in COUNTS] == [1, 1, 0, 0, 0, None]
    assert run_with_clear_endings(import_roads, [str(small), "--store", store, "--json"]) == 0
    again = json.loads(capsys.readouterr().out)
    assert [again[key] for key in COUNTS] == [1, 0, 0, 1, 0, None]


def test_the_network_lies_beside_the_store_with_the_credit_given(small, store, tmp_path, capsys):
    words = [str(small), "--store", store, "--credit", "Invented roads, no real place"]
    assert run_with_clear_endings(import_roads, words) == 0
    network = current_network(tmp_path / "roads")
    assert network.credit == "Invented roads, no real place"
    assert network.credit in capsys.readouterr().out


def test_without_a_credit_it_is_that_of_the_open_database_license(small, store, tmp_path):
    assert run_with_clear_endings(import_roads, [str(small), "--store", store]) == 0
    assert current_network(tmp_path / "roads").credit == "© OpenStreetMap contributors"


def test_a_file_that_is_no_road_file_ends_with_2_and_a_sentence(store, tmp_path, capsys):
    (tmp_path / "bad.osm.pbf").write_bytes(b"nothing of the kind")
    words = [str(tmp_path / "bad.osm.pbf"), "--store", store, "--json"]
    assert run_with_clear_endings(import_roads, words) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("riserway: bad.osm.pbf cannot be read")
    assert current_network(tmp_path / "roads") is None


def test_bench_prints_the_full_matrix_with_null_where_no_road_leads(town_file, tmp_path, capsys):
    points = tmp_path / "points.csv"
    isle = PLACES[ISLE_A]
    points.write_text(
        "id,lon,lat\n"
        + "".join(
            f"{name},{p.lon},{p.lat}\n"
            for name, p in zip("ab", (street(0, 0), street(3, 3)), strict=True)
        )
        + f"isle,{isle.lon},{isle.lat}\n"
    )
    assert run_with_clear_endings(bench, [str(town_file), "--points", str(points), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["unreachable"] == 4
    assert ["a", "isle"] in told["unreachable_pairs"]
    assert told["durations_s"][0][0] == 0
    assert told["durations_s"][0][1] > 60
    assert told["durations_s"][0][2] is None
    assert told["distances_m"][2] == [None, None, 0]
    assert told["closed_pairs"] == 2, "the road between the two points is closed on the way"
    assert told["closed_s"] > 0 < told["lifted_s"]
    assert told["build_s"] > 0 < told["matrix_s"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "missing: id, lon, lat"),
        ("id,lon,lat\n", "at least one point"),
        ("id,x,y\n1,2,3\n", "missing: lon, lat"),
        ("id,lon,lat\n1,2,north\n", "row 2, field “lat”"),
        ("id,lon,lat\n1,2,95\n2,200,5\n", "row 3, field “lon”"),
        ("id,lon,lat\n1,2\n", "row 2, field “lat”"),
    ],
)
def test_a_points_file_that_cannot_be_used_is_told(town_file, tmp_path, capsys, content, said):
    (tmp_path / "points.csv").write_text(content)
    words = [str(town_file), "--points", str(tmp_path / "points.csv")]
    assert run_with_clear_endings(bench, words) == 2
    assert said in capsys.readouterr().err
