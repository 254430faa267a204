"""Stages carried along a river, beside scipy and worked figures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import RegularGridInterpolator

from registry.errors import RangeError
from registry.flood.river_profile import RiverProfile, profile_of, sloped, water_surface
from registry.records.elevation import Elevation

STAGES, STATIONS = np.array([10.0, 14.0, 21.5]), np.array([2.0, 5.5, 6.0, 11.0])
SURFACE = np.array(
    [[201.0, 206.0, 206.2, 214.0], [203.5, 208.0, 208.2, 217.0], [209.0, 211.0, 211.0, 220.5]]
)


def profile() -> RiverProfile:
    stage, station = np.meshgrid(STAGES, STATIONS, indexing="ij")
    rows = np.random.default_rng(4).permutation(SURFACE.size)
    return profile_of(stage.ravel()[rows], station.ravel()[rows], SURFACE.ravel()[rows], "NAVD 88")


def test_the_surface_at_a_gauge_is_its_zero_plus_the_stage():
    # US Geological Survey: gage datum + gage height; 186.5 + 21.3 = 207.8 from a public project log
    level = water_surface(21.3, Elevation(186.5, "NAVD88"))
    assert level.value_ft == pytest.approx(207.8)
    assert level.datum == "NAVD88"


def test_between_two_cross_sections_the_surface_is_a_straight_line():
    # worked by hand: 210.4 ft at 5,000 ft above the mouth and 212.0 at 5,800, so 211.0 at 5,300
    known = profile_of([9, 9, 10, 10], [5000, 5800] * 2, [210.4, 212.0, 211.4, 213.0], "NGVD29")
    assert known.surface_at(9, [5300.0]) == pytest.approx([211.0])


@given(st.floats(10, 21.5), st.lists(st.floats(2, 11), min_size=1, max_size=5))
def test_surfaces_are_those_of_an_independent_interpolation_on_the_grid(stage, stations):
    # scipy's RegularGridInterpolator, linear
    theirs = RegularGridInterpolator((STAGES, STATIONS), SURFACE)
    expected = theirs([(stage, station) for station in stations])
    assert profile().surface_at(stage, stations) == pytest.approx(expected, abs=1e-9)


@given(st.floats(195, 225), st.floats(2, 11), st.floats(10, 21.5))
def test_a_thing_is_reached_at_the_stage_that_is_told_and_stays_so_above_it(z, station, stage):
    known = profile()
    reached = known.stage_that_reaches([z], [station])[0]
    level = known.surface_at(stage, [station])[0]
    if stage >= reached + 1e-9:
        assert level >= z - 1e-6
    if stage < reached - 1e-9:
        assert level < z + 1e-6


def test_beyond_the_last_station_or_stage_nothing_is_said():
    known = profile()
    assert np.isnan(known.surface_at(12, [1.9, 11.1])).all()
    assert np.isnan(known.surface_at(9.9, [5])).all()
    assert np.isnan(known.surface_at(21.6, [5])).all()
    assert np.isnan(known.stage_that_reaches([205.0, np.nan], [1.9, 5.0])).all()
    assert known.stage_that_reaches([150.0, 300.0], [5.0, 5.0]).tolist() == [-np.inf, np.inf]


def test_the_very_ends_of_the_profile_belong_to_it():
    known = profile()
    assert known.surface_at(21.5, [2.0, 11.0]) == pytest.approx([209.0, 220.5])
    assert known.stage_that_reaches([214.0, 220.5], [11.0, 11.0]).tolist() == [-np.inf, 21.5]


def test_a_reach_with_one_slope_rises_upstream_at_every_stage():
    known = sloped(
        Elevation(186.5, "NAVD88"), 4.0, 2.5, stages_ft=(0.0, 30.0), stations_mi=(0.0, 10.0)
    )
    assert known.surface_at(21.3, [4.0, 6.0, 2.0]) == pytest.approx([207.8, 212.8, 202.8])
    assert known.stage_that_reaches([212.8], [6.0]) == pytest.approx([21.3])


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (([1, 1, 2], [0, 1, 0], [5, 6, 6]), "stage 2 ft lacks a surface at river station 1 mi"),
        (([1, 1, 2, 2, 2], [0, 1, 0, 1, 1], [5, 6, 6, 7, 8]), "more than one surface"),
        (([1, 1, 2, 2], [0, 1, 0, 1], [5, 4, 6, 7]), "miles above the mouth"),
        (([1, 1, 2, 2], [0, 1, 0, 1], [5, 6, 4, 7]), "lower at stage 2 ft than at 1 ft"),
        (([1, 1], [0, 1], [5, 6]), "at least two stages"),
        (([1, np.nan, 2, 2], [0, 1, 0, 1], [5, 6, 6, 7]), "is no number"),
    ],
)
def test_a_table_that_cannot_be_right_is_refused_with_its_place(rows, words):
    with pytest.raises(RangeError, match=words):
        profile_of(*rows, "NAVD88")
