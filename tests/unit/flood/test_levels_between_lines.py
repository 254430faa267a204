"""Base flood elevations between lines: never past the last one, never across a confluence."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.errors import RangeError
from registry.flood import interpolated_ft
from registry.flood.areas import Outlines
from registry.flood.bfe_lines import (
    CONFLUENCE,
    LINES_DIFFER,
    NO_LINE,
    PAST_LAST,
    bfes_between_lines,
)
from registry.records.elevation import Elevation
from registry.records.flood import BfeLine, FloodArea

LAT = 45.0
RIVER = shapely.box(-90.04, LAT, -90.0, LAT + 0.004)
"""A straight reach that flows west to east, 3.1 km long and 440 m wide."""


def line(lon, level_ft, south=LAT, north=LAT + 0.004, datum="NAVD88"):
    return BfeLine(
        elevation=Elevation(level_ft, datum),
        geometry=shapely.LineString([(lon, south), (lon, north)]),
    )


LINES = [line(-90.03, 109.0), line(-90.02, 108.0), line(-90.01, 107.0)]


def level(place, areas=(RIVER,), lines=LINES, area=0, zone="AE"):
    layer = Outlines([FloodArea(zone=zone, sfha=True, geometry=shape) for shape in areas])
    return bfes_between_lines(np.array([place]), np.array([area]), layer, lines)[0]


@pytest.mark.parametrize("lat", [LAT + 0.0001, LAT + 0.002, LAT + 0.0039])
@pytest.mark.parametrize(
    ("lon", "level_ft"), [(-90.025, 108.5), (-90.0275, 108.75), (-90.019, 107.9), (-90.02, 108.0)]
)
def test_the_level_goes_by_the_place_between_its_two_lines(lon, lat, level_ft):
    found = level((lon, lat))
    assert found.elevation == Elevation(pytest.approx(level_ft, abs=0.001), "NAVD88")


def test_the_method_names_its_lines_and_that_it_is_an_estimate():
    assert level((-90.025, LAT + 0.002)).how == (
        "estimate, not official: between the base flood elevation lines 108 and 109 ft"
    )
    assert level((-90.02, LAT + 0.002)).how == "on the base flood elevation line 108 ft"


@pytest.mark.parametrize("lon", [-90.035, -90.005])
def test_past_the_last_line_the_level_is_unknown(lon):
    found = level((lon, LAT + 0.002))
    assert found.elevation is None
    assert found.how == PAST_LAST


def test_on_the_last_line_the_level_is_the_lines():
    assert level((-90.01, LAT + 0.001)).elevation == Elevation(107.0, "NAVD88")


def test_without_lines_the_level_is_unknown():
    assert level((-90.02, LAT + 0.002), lines=[]).how == NO_LINE
    elsewhere = [line(-91.0, 100.0)]
    assert level((-90.02, LAT + 0.002), lines=elsewhere).how == NO_LINE


def test_at_a_confluence_the_level_is_unknown():
    tributary = shapely.box(-90.017, LAT + 0.004, -90.013, LAT + 0.014)
    across = BfeLine(
        elevation=Elevation(108.0, "NAVD88"),
        geometry=shapely.LineString([(-90.017, LAT + 0.008), (-90.013, LAT + 0.008)]),
    )
    found = level((-90.015, LAT + 0.002), (RIVER, tributary), [*LINES, across])
    assert found.elevation is None
    assert found.how == CONFLUENCE


def test_lines_that_stop_just_short_of_the_edge_still_cut_the_flood_plain():
    short = [
        line(lon, ft, LAT + 0.0001, LAT + 0.0039)
        for lon, ft in ((-90.03, 109.0), (-90.02, 108.0), (-90.01, 107.0))
    ]
    assert level((-90.025, LAT + 0.002), lines=short).elevation == Elevation(
        pytest.approx(108.5, abs=0.001), "NAVD88"
    )


def test_lines_that_stop_far_from_the_edge_cut_nothing():
    half = [line(-90.03, 109.0), line(-90.02, 108.0, LAT, LAT + 0.002), line(-90.01, 107.0)]
    assert level((-90.025, LAT + 0.003), lines=half).how == CONFLUENCE


def test_floodway_and_fringe_that_touch_are_one_flood_plain():
    floodway = shapely.box(-90.04, LAT, -90.0, LAT + 0.003)
    scrap = shapely.box(-90.026, LAT + 0.003, -90.024, LAT + 0.004)
    found = level((-90.025, LAT + 0.0035), (floodway, scrap), area=1)
    assert found.elevation == Elevation(pytest.approx(108.5, abs=0.001), "NAVD88")


def test_a_flood_plain_that_bends_is_followed():
    """Round a half circle of 1 km radius, a line every eighth of it."""

    def ray(angle, radius_deg):
        return (-90.0 + 1.41 * radius_deg * np.cos(angle), LAT + radius_deg * np.sin(angle))

    angles = np.linspace(0, np.pi, 200)
    outer, inner = ([ray(a, r) for a in angles] for r in (0.010, 0.008))
    bend = shapely.Polygon([*outer, *reversed(inner)])
    spokes = [
        BfeLine(
            elevation=Elevation(100.0 + i, "NAVD88"),
            geometry=shapely.LineString([ray(a, 0.0079), ray(a, 0.0101)]),
        )
        for i, a in enumerate(np.linspace(0.2, 2.9, 8))
    ]
    step = 2.7 / 7
    for share in (0.25, 0.5, 0.75):
        found = level(ray(0.2 + (3 + share) * step, 0.009), (bend,), spokes)
        assert found.elevation == Elevation(pytest.approx(103 + share, abs=0.02), "NAVD88")


def test_lines_on_different_datums_give_no_level():
    found = level((-90.025, LAT + 0.002), lines=[LINES[0], line(-90.02, 104.6, datum="NGVD29")])
    assert found.elevation is None
    assert found.how == LINES_DIFFER


def test_an_approximate_zone_takes_no_level_from_its_neighbours_lines():
    assert level((-90.025, LAT + 0.002), zone="A").how == NO_LINE


def test_a_faulty_outline_takes_no_level():
    crossed = shapely.Polygon(
        [(-90.04, LAT), (-90.0, LAT + 0.004), (-90.0, LAT), (-90.04, LAT + 0.004)]
    )
    assert level((-90.025, LAT + 0.002), (crossed,)).how == NO_LINE


@settings(max_examples=50)
@given(st.floats(0, 1), st.floats(-100, 9000), st.floats(-100, 9000))
def test_a_level_lies_between_the_two_it_comes_from(share, one_ft, other_ft):
    station = 1000 + 800 * share
    found = interpolated_ft(station, (1000, one_ft), (1800, other_ft))
    assert min(one_ft, other_ft) - 1e-9 <= found <= max(one_ft, other_ft) + 1e-9
    assert found == pytest.approx(interpolated_ft(station, (1800, other_ft), (1000, one_ft)))


def test_one_station_with_two_levels_is_refused():
    assert interpolated_ft(5.0, (5.0, 108.0), (5.0, 108.0)) == 108.0
    with pytest.raises(RangeError, match="two levels"):
        interpolated_ft(5.0, (5.0, 108.0), (5.0, 109.0))
