"""A network is built whole or not at all, and the one in use stays until another is whole."""

import json
import os
from dataclasses import replace
from datetime import timedelta

import pytest

from registry.basemap.revisions import current_folder, make_current, read_about, write_about
from registry.errors import RoadError
from registry.roads import network
from registry.roads.graph import Graph
from registry.roads.network import build_network, current_network, is_whole
from tests.osm_town import BUILT_AT, quiet, street, write_osm

BEND = {1: street(0, 0), 2: street(1, 1), 3: street(2, 0)}


def bend(path, **tags):
    return write_osm(path, BEND, [([1, 2, 3], {"highway": "residential"} | tags)])


def build(source, folder, **options):
    return build_network(source, folder, "Invented", BUILT_AT, quiet, with_basemap=False, **options)


def test_the_town_is_described_as_it_is(town_roads):
    info = current_network(town_roads)
    assert info == read_about(current_folder(town_roads))
    assert (info.ways, info.missing_nodes) == (17, 0)
    assert info.built_at == BUILT_AT
    assert info.credit == "Invented roads, no real place"
    assert info.box.west == street(-1, 0).lon
    assert info.box.north == street(0, 5.4).lat
    assert 0.8 < info.joined_share < 1


def test_what_osrm_extracted_is_not_what_the_engine_reads(town_roads):
    here = current_folder(town_roads)
    built = {path.name for path in (here / "extracted").iterdir()}
    opened = {path.name for path in (here / "open").iterdir()}
    assert "roads.osrm.mldgr" in opened - built
    assert built < opened


def test_nothing_was_imported_yet(tmp_path):
    assert current_network(tmp_path) is None
    assert current_network(tmp_path / "none") is None


def test_a_failed_import_leaves_the_network_in_use_and_nothing_else(tmp_path):
    roads = tmp_path / "roads"
    before = build(bend(tmp_path / "bend.osm"), roads)
    kept = sorted(path.name for path in roads.rglob("*"))
    (tmp_path / "cut.osm").write_text((tmp_path / "bend.osm").read_text()[:-40])
    with pytest.raises(RoadError):
        build(tmp_path / "cut.osm", roads)
    assert current_network(roads) == before
    assert sorted(path.name for path in roads.rglob("*")) == kept


def test_a_failure_late_in_the_building_leaves_nothing(tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(network, "write_about", full)
    with pytest.raises(RoadError, match="No space left on device"):
        build(bend(tmp_path / "bend.osm"), tmp_path / "roads")
    assert list((tmp_path / "roads").iterdir()) == []


def test_the_same_file_again_is_not_built_again_but_takes_the_new_credit(tmp_path):
    source, roads = bend(tmp_path / "bend.osm"), tmp_path / "roads"
    first = build(source, roads)
    later = BUILT_AT + timedelta(days=1)
    again = build_network(source, roads, "Another", later, quiet, with_basemap=False)
    assert again == replace(first, credit="Another")
    assert current_network(roads) == again


def test_the_network_before_is_kept_and_older_ones_are_deleted(tmp_path):
    roads = tmp_path / "roads"
    built = [
        build(bend(tmp_path / f"{name}.osm", name=name), roads).revision for name in ("a", "b", "c")
    ]
    assert len(set(built)) == 3
    assert {path.name for path in roads.iterdir()} == {"current", *built[1:]}
    assert current_network(roads).revision == built[2]


def test_what_a_killed_import_left_is_deleted_a_day_later(tmp_path):
    roads = tmp_path / "roads"
    for name, hours in (("building-old", 25), ("building-now", 1)):
        (roads / name).mkdir(parents=True)
        moment_s = (BUILT_AT - timedelta(hours=hours)).timestamp()
        os.utime(roads / name, (moment_s, moment_s))
    build(bend(tmp_path / "bend.osm"), roads)
    assert [path.name for path in roads.glob("building-*")] == ["building-now"]


def test_negative_ids_go_to_the_other_engine_and_say_so(tmp_path):
    source = write_osm(
        tmp_path / "odd.osm",
        {-1: street(0, 0), -2: street(1, 1)},
        [([-1, -2], {"highway": "residential"})],
    )
    info = build(source, tmp_path / "roads")
    assert info.engine == "dijkstra"
    assert "negative or wrapped node ids" in info.why_not_osrm


def test_missing_nodes_are_told(tmp_path):
    source = write_osm(tmp_path / "cut.osm", BEND, [([1, 2, 3, 4], {"highway": "residential"})])
    info = build(source, tmp_path / "roads")
    assert info.missing_nodes == 1
    assert "cut.osm lacks 1 of the nodes" in info.warnings[0]


@pytest.mark.parametrize("name", ["graph.npz", "network.json"])
@pytest.mark.parametrize("content", [None, b"short"])
def test_a_damaged_network_is_built_anew_by_the_same_import(tmp_path, name, content):
    source, roads = bend(tmp_path / "bend.osm"), tmp_path / "roads"
    info = build(source, roads)
    if content is None:
        (roads / info.revision / name).unlink()
    else:
        (roads / info.revision / name).write_bytes(content)
    assert build(source, roads) == info
    assert current_network(roads) == info
    assert is_whole(roads / info.revision)
    assert Graph.load(roads / info.revision / "graph.npz").junctions == 2


@pytest.mark.parametrize("pointer", ["../../elsewhere", "0123456789abcdef", "", "\x00"])
def test_a_damaged_pointer_is_told_and_mended_by_another_import(tmp_path, pointer):
    roads = tmp_path / "roads"
    info = build(bend(tmp_path / "bend.osm"), roads)
    (roads / "current").write_text(pointer)
    with pytest.raises(RoadError, match="Import the roads again"):
        current_network(roads)
    assert build(bend(tmp_path / "bend.osm"), roads) == info
    assert current_network(roads) == info


def test_a_damaged_description_is_told_in_a_sentence(tmp_path):
    roads = tmp_path / "roads"
    info = build(bend(tmp_path / "bend.osm"), roads)
    for content in ("", "[]", json.dumps({"revision": "x"})):
        (roads / info.revision / "network.json").write_text(content)
        with pytest.raises(RoadError, match="damaged"):
            current_network(roads)
    write_about(roads / info.revision, info)
    make_current(roads, info.revision)
    assert current_network(roads) == info
