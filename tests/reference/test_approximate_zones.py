"""Levels in zones without a base flood elevation, beside worked examples that were published.

FEMA, “Managing Floodplain Development in Approximate Zone A Areas”, 1995, pages V-3 (example 1) and
V-5 (example 3), and National Academies, “Mapping the Zone”, 2009, appendix A, both verified in
stored copies; the profile is figure 1-5 of the Oklahoma Water Resources Board's guidebook, as read.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.errors import RangeError
from registry.flood.estimates import by_boundary, by_contours, by_depth, by_extrapolation
from registry.services.estimate_level import Asked, estimate_level


@pytest.mark.parametrize(
    ("edges_ft", "interval_ft", "expected_ft"),
    [((323, 325), 5, 325.5), ((325, 323), 5, 325.5), ((280, 283), 10, 285)],
)
def test_the_lowest_edge_and_half_the_interval_make_the_level(edges_ft, interval_ft, expected_ft):
    found = by_contours(edges_ft, interval_ft, "NGVD29")
    assert found.level.value_ft == expected_ft
    assert found.level.datum == "NGVD29"


def test_edges_that_differ_by_more_than_half_the_interval_refuse_the_method():
    assert by_contours((320, 322.5), 5, "NAVD88").level.value_ft == 322.5
    with pytest.raises(RangeError, match="not to be used"):
        by_contours((320, 322.6), 5, "NAVD88")


@given(st.floats(0, 500), st.floats(0, 1), st.floats(1, 50))
def test_the_level_is_within_half_the_interval_of_every_edge(low, share, interval):
    high = low + share * interval / 2 * 0.999
    level = by_contours((low, high), interval, "NAVD88").level.value_ft
    assert high - 1e-6 <= level <= low + interval / 2 + 1e-6


def test_a_profile_is_read_at_its_station():
    # Oklahoma guidebook, figure 1-5: 1134.7 ft at 7,600 ft above the mouth, as read
    read = Asked(
        method="profile", datum="NGVD29", at_ft=7600, points=[(7600, 1134.7), (8000, 1136.0)]
    )
    assert estimate_level(read).level.value_ft == 1134.7
    # derived: 210.4 ft at 5,000 and 212.0 at 5,800, so 211.0 at 5,300
    points = [(5800, 212.0), (5000, 210.4)]
    between = Asked(method="profile", datum="NAVD88", at_ft=5300, points=points)
    assert estimate_level(between).level.value_ft == pytest.approx(211.0, abs=0.05)


def test_a_profile_is_carried_on_for_five_hundred_feet_upstream_only():
    points = [(5000, 210.0), (6000, 212.0)]  # worked by hand: 2 ft in 1,000 ft
    assert by_extrapolation(6500, points, "NAVD88").level.value_ft == pytest.approx(213.0)
    for station in (6501, 6000, 4800):
        with pytest.raises(RangeError, match="at most 500 ft"):
            by_extrapolation(station, points, "NAVD88")


def test_ground_at_both_edges_is_interpolated_to_the_site():
    found = by_boundary(30.0, [(0.0, 101.0), (120.0, 103.0)], "NAVD88")  # by hand: a quarter
    assert found.level.value_ft == pytest.approx(101.5)


def test_zone_ao_adds_its_depth_to_the_highest_ground_two_feet_where_none_is_printed():
    # 44 CFR 60.3(c)(7), from memory
    assert by_depth(100.0, 1.0, "NAVD88").level.value_ft == 101.0
    assert by_depth(100.0, None, "NAVD88").level.value_ft == 102.0


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (Asked(method="contours", datum="", edges_ft=(1, 2), interval_ft=5), "Name the vertical"),
        (Asked(method="contours", datum="NAVD88", edges_ft=(1, 2)), "Give the interval"),
        (Asked(method="depth", datum="NAVD88"), "ground's elevation"),
        (Asked(method="guess", datum="NAVD88"), "no such method"),
    ],
)
def test_what_is_missing_is_asked_for(asked, words):
    with pytest.raises(RangeError, match=words):
        estimate_level(asked)
