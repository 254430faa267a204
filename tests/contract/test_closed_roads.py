"""What every road engine must do once roads are closed, or closed to a truck."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
import shapely

from registry.basemap.revisions import current_folder, read_about
from registry.errors import RegistryError
from registry.records.closures import Closure
from registry.records.places import LonLat
from registry.records.roads import (
    SPEED_CLASSES,
    NamedStretch,
    RoadConditions,
    VehicleLimits,
)
from registry.roads.cached import CachedRoads
from registry.roads.drivable import LANE_SPEEDS_KM_H, ROAD_SPEEDS_KM_H
from registry.roads.network import build_network
from registry.roads.osrm_build import osrm_version
from registry.roads.with_dijkstra import DijkstraRoads
from registry.roads.with_osrm import OsrmRoads
from tests.once import once
from tests.osm_town import BUILT_AT, FAR_END, PLACES, SIDE, quiet, street, town, write_osm

BLOCK_M = 386.0
"""Between two columns."""
SIGNS = {
    "Row 2": {"maxweight": "5 st", "ref": "CR 2"},
    "Column 3": {"maxheight": "8'6&quot;"},
    "Row 4": {"hgv": "no"},
}
"""Signs that some streets of the town carry in these tests."""


@pytest.fixture(scope="session")
def signed_roads(run_folder):
    """The town's network with signs for heavy and high trucks; built once for a run."""

    def make(folder):
        nodes, ways = town()
        signed = [(refs, {**tags, **SIGNS.get(tags.get("name", ""), {})}) for refs, tags in ways]
        folder.mkdir()
        file = write_osm(folder / "signed.osm", nodes, signed)
        build_network(file, folder, "Invented", BUILT_AT, quiet, with_basemap=False)

    return once(run_folder, "signed_roads", make)


@pytest.fixture(params=["osrm", "dijkstra", "kept osrm", "kept dijkstra"])
def roads(request, signed_roads, tmp_path):
    opened = engine_of(request.param, signed_roads, tmp_path)
    yield opened
    opened.close()


def engine_of(kind, folder, tables):
    here = current_folder(folder)
    info = read_about(here)
    if kind.endswith("osrm") and not osrm_version():
        pytest.skip("OSRM is not to be had here.")
    opened = OsrmRoads(here, info) if kind.endswith("osrm") else DijkstraRoads.open(here, info)
    return CachedRoads(opened, tables) if kind.startswith("kept") else opened


def closure(*points, name="a closure", road=""):
    shape = shapely.LineString(points) if points[0] != points[-1] else shapely.Polygon(points)
    return Closure(name=name, shape=shape, road=road, first_on=date(2026, 6, 15))


def under(*closures):
    return RoadConditions(closures=closures)


ACROSS = closure(street(1.5, -0.1), street(1.5, 0.1), name="Row 0 at the mill")
"""A line across Row 0 between columns 1 and 2."""
ALONG = closure(street(1.05, 0.005), street(1.95, -0.005), name="Row 0 by the mill")
"""A line along the same block, a metre and a half beside it."""
ENDS = [street(1, 0), street(2, 0)]


@pytest.mark.parametrize("closed", [ACROSS, ALONG], ids=["across", "along"])
def test_a_closed_block_is_driven_around_and_named(roads, closed):
    assert roads.travel_times(ENDS).travel_m[0, 1] == pytest.approx(BLOCK_M, rel=0.01)
    around = roads.under(under(closed)).travel_times(ENDS)
    assert around.travel_m[0, 1] == pytest.approx(BLOCK_M + 2 * 333, rel=0.01)
    assert around.travel_m[1, 0] == pytest.approx(BLOCK_M + 2 * 333, rel=0.01)
    assert around.closed == (closed.name,)
    assert around.warnings == ()
    line = shapely.LineString(roads.under(under(closed)).line(ENDS))
    assert not line.intersects(ACROSS.shape)


def test_a_lifted_closure_leaves_nothing_behind(roads):
    before = roads.travel_times(ENDS)
    roads.under(under(ACROSS)).travel_times(ENDS)
    after = roads.under(RoadConditions()).travel_times(ENDS)
    np.testing.assert_array_equal(after.travel_s, before.travel_s)
    np.testing.assert_array_equal(roads.travel_times(ENDS).travel_s, before.travel_s)
    assert after.closed == ()


def test_the_streets_that_branch_off_a_closed_one_stay_open(roads):
    closed = roads.under(under(closure(street(0.5, 1), street(3.5, 1), name="Row 1")))
    matrix = closed.travel_times([street(2, 0.5), street(2, 1.5)])
    assert matrix.travel_m[0, 1] == pytest.approx(333, rel=0.01)


def test_an_area_closes_every_road_in_it(roads):
    area = closure(street(1.5, 0.5), street(3.5, 0.5), street(3.5, 2.5), street(1.5, 2.5),
                   street(1.5, 0.5))  # fmt: skip
    matrix = roads.under(under(area)).travel_times([street(1, 1), street(4.0, 1)])
    assert matrix.travel_m[0, 1] == pytest.approx(3 * BLOCK_M + 2 * 333, rel=0.01)


def test_with_a_name_only_that_road_is_closed(roads):
    area = closure(street(1.5, 0.5), street(2.5, 0.5), street(2.5, 1.5), street(1.5, 1.5),
                   street(1.5, 0.5), road="Row 1")  # fmt: skip
    matrix = roads.under(under(area)).travel_times(
        [street(1, 1), street(3, 1), street(2, 0), street(2, 2)]
    )
    assert matrix.travel_m[0, 1] == pytest.approx(2 * BLOCK_M + 2 * 333, rel=0.01)
    assert matrix.travel_m[2, 3] == pytest.approx(2 * 333, rel=0.01)


def test_a_place_on_a_closed_road_is_cut_off_never_put_on_another_road(roads):
    places = [street(0, 0), street(1.5, 0), street(3, 3)]
    matrix = roads.under(under(ALONG)).travel_times(places)
    assert np.isnan(matrix.travel_s[[0, 1, 1, 2], [1, 0, 2, 1]]).all()
    assert np.isfinite(matrix.travel_s[0, 2])
    assert matrix.snap_m[1] < 1
    assert any(said.startswith("place 2") and "closed" in said for said in matrix.warnings)


def test_a_place_on_the_open_part_of_a_road_is_reached_from_its_side(roads):
    """The track leads from (0, 3) by a bend to (0, 4); its southern half is closed."""
    southern = closure(street(-0.6, 3.1), street(-0.4, 3.4), name="the track")
    start, there = street(0, 0), street(-0.5, 3.75)
    before = roads.travel_times([start, there]).travel_m[0, 1]
    matrix = roads.under(under(southern)).travel_times([start, there, street(-0.5, 3.25)])
    assert matrix.travel_m[0, 1] == pytest.approx(before, rel=0.01)
    assert np.isnan(matrix.travel_m[0, 2])


def test_what_stands_in_the_way_is_named_and_nothing_else(roads):
    first = closure(street(6, 1.9), street(6, 2.1), name="gravel road")
    beside = replace(ACROSS, name="not in the way")
    start, far = street(0, 0), PLACES[FAR_END]
    island = street(2.5, -2.5)  # cut off anyhow
    assert roads.under(under(beside, first)).in_the_way(start, [far]) == (("gravel road",),)
    assert roads.under(under(beside)).in_the_way(start, [far]) == ((),)
    assert roads.under(under(first)).in_the_way(start, [island]) == ((),)
    together = roads.under(under(beside, first)).in_the_way(start, [island, far, start])
    assert together == ((), ("gravel road",), ())
    corner_closed = (
        closure(street(4.5, 5.1), street(4.5, 4.9), name="row 5"),
        closure(street(5.1, 4.5), street(4.9, 4.5), name="column 5"),
    )
    both = roads.under(under(*corner_closed))
    assert both.in_the_way(start, [street(5, 5)]) in [(("row 5",),), (("column 5",),)]


def test_a_closure_off_all_roads_closes_nothing_and_is_said(roads):
    nowhere = closure(street(20, 20), street(21, 20), name="the moon")
    matrix = roads.under(under(nowhere)).travel_times(ENDS)
    assert matrix.closed == ()
    assert any("“the moon” lies on no road" in said for said in matrix.warnings)
    np.testing.assert_array_equal(matrix.travel_s, roads.travel_times(ENDS).travel_s)


@pytest.mark.parametrize(
    ("limits", "barred"),
    [
        (None, ()),
        (VehicleLimits(), ()),
        (VehicleLimits(weight_lb=7_000.0), ()),
        (VehicleLimits(weight_lb=9_000.0), ("Row 4",)),
        (VehicleLimits(weight_lb=10_000.0), ("Row 4",)),
        (VehicleLimits(weight_lb=10_001.0), ("Row 2", "Row 4")),
        (VehicleLimits(height_ft=8.5), ()),
        (VehicleLimits(height_ft=9.0), ("Column 3",)),
        (VehicleLimits(weight_lb=26_000.0, height_ft=9.0), ("Row 2", "Row 4", "Column 3")),
    ],
)
def test_a_truck_keeps_off_the_roads_whose_signs_it_may_not_pass(roads, limits, barred):
    """Row 2 bears 5 short tons, column 3 is 8 ft 6 in high, row 4 is closed to trucks > 3.5 t."""
    pairs = {
        "Row 2": (street(0, 2), street(1, 2)),
        "Column 3": (street(3, 0), street(3, 1)),
        "Row 4": (street(0, 4), street(1, 4)),
        "Row 0": (street(0, 0), street(1, 0)),
    }
    for name, (a, b) in pairs.items():
        block_m = 333 if name.startswith("Column") else BLOCK_M
        found_m = roads.travel_times([a, b], limits=limits).travel_m[0, 1]
        assert (found_m > 1.5 * block_m) == (name in barred), name


def test_a_stretch_is_found_by_the_name_of_the_road_and_its_cross_streets(roads):
    found = roads.find(NamedStretch(road="row 1", begins="Column 1", ends="Column 3"))
    along = closure(street(1, 1), street(3, 1)).shape
    assert found.hausdorff_distance(along) < 1e-6
    whole = roads.find(NamedStretch(road="CR 2"))
    assert whole.hausdorff_distance(closure(street(0, 2), street(SIDE - 1, 2)).shape) < 1e-6
    by_place = roads.find(
        NamedStretch(road="Row 1", begins="-39.996,30.0031", ends="-39.988,30.003")
    )
    assert by_place.hausdorff_distance(along) < 1e-6


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        (NamedStretch(road="Raw 1"), "No road.*“Raw 1”.*Did you mean Row 1"),
        (NamedStretch(road="Row 1", begins="Column 1"), "where it ends"),
        (NamedStretch(road="Row 1", begins="Row 3", ends="Column 1"), "Row 3 does not meet Row 1"),
        (NamedStretch(road="Row 1", begins="-39.9,30.1", ends="Column 1"), "m from Row 1"),
        (NamedStretch(road="Row 1", begins="Column 1", ends="Column 1"), "two different places"),
    ],
)
def test_a_stretch_that_is_not_there_is_refused_in_words(roads, wanted, said):
    with pytest.raises(RegistryError, match=said):
        roads.find(wanted)


def test_a_named_stretch_closes_just_itself(roads):
    wanted = NamedStretch(road="Row 1", begins="Column 1", ends="Column 2")
    one = Closure(name="Row 1", shape=roads.find(wanted), road="Row 1", first_on=date(2026, 6, 15))
    matrix = roads.under(under(one)).travel_times([street(c, 1) for c in range(4)])
    blocks = matrix.travel_m.diagonal(1) / BLOCK_M
    assert blocks == pytest.approx([1, 1 + 2 * 333 / BLOCK_M, 1], rel=0.01)


def test_both_engines_agree_on_what_is_cut_off_and_how_far_around(signed_roads, tmp_path):
    """On the signed town, with closures across and along, for every truck."""
    rng = np.random.default_rng(3)
    places = [street(c + 0.3, r) for c in range(SIDE - 1) for r in range(SIDE)]
    places += [LonLat(*p) for p in np.array(places)[::3] + rng.normal(0, 2e-5, (10, 2))]
    closures = (
        ACROSS,
        closure(street(2.2, 0.9), street(2.2, 3.1), name="three rows"),
        closure(street(4, 4.05), street(4, 4.95), name="one-way block"),
    )
    for limits in (None, VehicleLimits(weight_lb=26_000.0, height_ft=12.0)):
        answers = []
        for kind in ("osrm", "dijkstra"):
            opened = engine_of(kind, signed_roads, tmp_path).under(under(*closures))
            answers.append(opened.travel_times(places, limits=limits))
            opened.close()
        ours, theirs = answers
        np.testing.assert_array_equal(np.isnan(ours.travel_s), np.isnan(theirs.travel_s))
        reached = np.isfinite(ours.travel_m) & ~np.eye(len(places), dtype=bool)
        share = ours.travel_m[reached] / theirs.travel_m[reached]
        assert 0.99 < np.quantile(share, 0.05) < np.quantile(share, 0.95) < 1.01


def driving(**speeds_mph):
    return RoadConditions(speeds_mph=speeds_mph)


GRAVEL_ENDS = [street(5.5, 2), street(7.5, 2)]
"""Two blocks, 772 m, of the gravel road; no junction between them."""


@pytest.mark.parametrize(
    ("speeds", "mph"),
    [
        ({"gravel": 12.0}, 12.0),
        ({"unclassified": 20.0}, 20.0),
        ({"unclassified": 20.0, "gravel": 12.0}, 12.0),
        ({"unclassified": 10.0, "gravel": 12.0, "residential": 3.0}, 10.0),
    ],
)
def test_a_speed_that_was_set_is_driven_and_the_slowest_counts(roads, speeds, mph):
    """1 mph = 0.44704 m/s, exact."""
    matrix = roads.under(driving(**speeds)).travel_times(GRAVEL_ENDS)
    driven_m_s = matrix.travel_m[0, 1] / matrix.travel_s[0, 1]
    assert driven_m_s == pytest.approx(mph * 0.44704, rel=0.02)


def test_a_speed_of_another_class_changes_nothing_and_given_back_it_is_gone(roads):
    before = roads.travel_times(GRAVEL_ENDS).travel_s
    other = roads.under(driving(motorway=20.0, private=3.0)).travel_times(GRAVEL_ENDS)
    np.testing.assert_allclose(other.travel_s, before, atol=0.11)
    roads.under(driving(gravel=5.0)).travel_times(GRAVEL_ENDS)
    np.testing.assert_array_equal(
        roads.under(RoadConditions()).travel_times(GRAVEL_ENDS).travel_s, before
    )


def test_speeds_and_closures_hold_together(roads):
    both = RoadConditions(closures=(ACROSS,), speeds_mph={"residential": 10.0})
    matrix = roads.under(both).travel_times(ENDS)
    assert matrix.travel_m[0, 1] == pytest.approx(BLOCK_M + 2 * 333, rel=0.01)
    assert matrix.travel_s[0, 1] >= 0.99 * BLOCK_M / (10 * 0.44704)


def test_every_class_that_a_truck_drives_can_be_set():
    cutting_across = {"gravel", "private"}
    assert set(SPEED_CLASSES) - cutting_across == {*ROAD_SPEEDS_KM_H, *LANE_SPEEDS_KM_H}


def test_a_leg_says_how_far_it_leads_over_each_class_of_road(roads):
    """Half a block of a street, then the dead end's gravel road, 3 blocks to its end."""
    (far,) = roads.classes_m([street(4.5, 2), PLACES[FAR_END]])
    assert far["unclassified"] == far["gravel"] == pytest.approx(3 * BLOCK_M, rel=0.01)
    assert far["residential"] == pytest.approx(0.5 * BLOCK_M, rel=0.01)
    assert roads.classes_m([street(0, 0), street(2.5, -2.5)]) == ({},)  # the island
    assert roads.classes_m([street(0, 0)]) == ()
