"""Files that cannot be read end in a sentence that says what to do."""

import bz2
import gzip

import numpy as np
import pytest

from registry.errors import RoadError
from registry.roads.drivable import truck_rule
from registry.roads.osm_file import read_ways
from tests.osm_town import street, write_osm


@pytest.mark.parametrize(("ending", "packed"), [("gz", gzip.compress), ("bz2", bz2.compress)])
def test_a_compressed_file_reads_as_the_plain_one(town_file, tmp_path, ending, packed):
    (tmp_path / f"town.osm.{ending}").write_bytes(packed(town_file.read_bytes()))
    plain = read_ways(town_file, truck_rule)
    ours = read_ways(tmp_path / f"town.osm.{ending}", truck_rule)
    np.testing.assert_array_equal(ours.refs, plain.refs)
    np.testing.assert_array_equal(ours.lon_deg, plain.lon_deg)


def test_negative_ids_are_read_and_told(tmp_path):
    file = write_osm(
        tmp_path / "odd.osm",
        {-5: street(0, 0), 7: street(1, 0)},
        [([-5, 7], {"highway": "residential"})],
    )
    ways = read_ways(file, truck_rule)
    assert ways.has_odd_ids
    assert ways.missing_nodes == 0


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("empty.osm.pbf", b"", "is empty"),
        ("text.osm.pbf", b"id,lon,lat\n1,2,3\n", "not OpenStreetMap data, or damaged"),
        ("text.osm", b"id,lon,lat\n1,2,3\n", "not OpenStreetMap data, or damaged"),
        ("text.osm.gz", b"not packed", "cannot be read"),
        ("text.osm.gz", gzip.compress(b"<osm>" * 99, mtime=0)[:-9], "cannot be read"),
        ("roads.shp", b"\x00\x00\x27\x0a", "does not end in"),
        ("nothing.osm", b'<osm version="0.6"></osm>', "no road that can be driven"),
        (
            "homeless.osm",
            b'<osm version="0.6"><way id="1"><nd ref="1"/><nd ref="2"/>'
            b'<tag k="highway" v="road"/></way></osm>',
            "none of the 2 nodes",
        ),
        ("html.osm", b"<html><body>404 Not Found</body></html>", "cannot be read"),
    ],
)
def test_a_file_that_is_no_road_file_is_refused_in_a_sentence(tmp_path, name, content, said):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(RoadError, match=said) as refused:
        read_ways(tmp_path / name, truck_rule)
    assert name in str(refused.value)


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    for path in (tmp_path / "none.osm.pbf", tmp_path):
        with pytest.raises(RoadError, match="There is no file"):
            read_ways(path, truck_rule)
