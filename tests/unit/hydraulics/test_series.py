"""Trends: solids and their forecast, squirt heights, monitoring wells against the season."""

import math
from datetime import date, timedelta

import numpy as np
import pytest

from registry.errors import RangeError
from registry.hydraulics import (
    forecast,
    lying_cylinder_gal,
    lying_ellipse_gal,
    lying_ellipse_gal_per_in,
    solids_trend,
    squirt_trend,
    trend,
    well_trend,
)

DATES = [date(2019, 6, 1), date(2020, 6, 1), date(2021, 6, 1), date(2022, 6, 1)]


def well(days, per_year_in, swing_in=20.0):
    """Depths of an invented well, shallowest on 1 March."""
    first = date(2021, 1, 1)
    dates = [first + timedelta(days=day) for day in days]
    depths = [
        60 + per_year_in * day / 365.25
        - swing_in / 2 * math.cos(2 * math.pi * (one.timetuple().tm_yday - 60) / 365.25)
        for day, one in zip(days, dates, strict=True)
    ]  # fmt: skip
    return dates, depths


def test_solids_that_grow_evenly_reach_the_limit_on_the_day_that_rises_by_rule_of_three():
    told = solids_trend(DATES, [0.0, 0.05, 0.10, 0.15], 0.25)
    assert told.per_year_share == pytest.approx(0.05, rel=1e-3)
    assert abs((told.forecast.reached_on - date(2024, 6, 1)).days) <= 2
    assert told.forecast.latest - told.forecast.earliest < timedelta(10)


def test_scattered_readings_give_a_wider_forecast():
    calm = solids_trend(DATES, [0.0, 0.05, 0.10, 0.15], 0.25).forecast
    rough = solids_trend(DATES, [0.0, 0.07, 0.08, 0.15], 0.25).forecast
    assert rough.earliest < calm.earliest
    assert rough.latest is None or rough.latest > calm.latest


def test_two_readings_have_a_date_and_no_certainty():
    told = solids_trend(DATES[:2], [0.0, 0.05], 0.25).forecast
    assert told.reached_on is not None
    assert told.earliest is None
    assert told.latest is None
    assert trend(DATES[:2], [0.0, 0.05]).band(DATES[3]) is None


def test_solids_over_the_limit_are_due_now_and_falling_ones_never():
    assert solids_trend(DATES, [0.0, 0.1, 0.2, 0.3], 0.25).forecast.reached_on == DATES[-1]
    assert solids_trend(DATES, [0.2, 0.2, 0.2, 0.2], 0.25).forecast.reached_on is None


def test_a_falling_line_reaches_its_limit_from_above():
    line = trend(DATES, [60.0, 57.0, 54.0, 51.0])
    assert abs((forecast(line, 48.0, DATES[-1]).reached_on - date(2023, 6, 1)).days) <= 2


@pytest.mark.parametrize(("now_in", "brush"), [(50.0, False), (48.0, False), (47.0, True)])
def test_a_fifth_of_squirt_height_lost_calls_for_a_brush(now_in, brush):
    told = squirt_trend(DATES, [60.0, 58.0, 55.0, now_in])
    assert told.needs_brushing is brush
    assert told.loss_share == pytest.approx(1 - now_in / 60)


def test_a_well_that_only_swings_with_the_season_does_not_move():
    dates, depths = well(range(0, 1100, 61), 0.0)
    told = well_trend(dates, [round(one) for one in depths])
    assert not told.moves
    assert told.swing_in == pytest.approx(20, abs=1)
    assert told.shallowest_day == pytest.approx(60, abs=5)


def test_a_well_that_rises_under_its_season_is_found_out():
    dates, depths = well(range(0, 1100, 61), -6.0)
    told = well_trend(dates, [round(one) for one in depths])
    assert told.moves
    assert told.per_year_in == pytest.approx(-6, abs=0.5)
    assert abs(told.per_year_in + 6) <= told.within_in


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: trend(DATES[:1], [1.0]), "two dates at least"),
        (lambda: trend(DATES, [1.0]), "4 dates and 1 readings"),
        (lambda: trend(DATES[:2], [1.0, float("nan")]), "not a number"),
        (lambda: well_trend(DATES, [1.0, 2.0, 3.0, 4.0]), "6 readings over more than a year"),
        (lambda: well_trend(*well((0, 365, 730, 1096, 1461, 1826), 0.0)), "one season"),
        (lambda: solids_trend(DATES, [0.0, 0.1, 0.2, -0.1], 0.25), "solids_share is -0.1"),
        (lambda: lying_ellipse_gal(60, 48, 96, 49), "depth_in is 49"),
    ],
)
def test_readings_that_cannot_be_are_refused(call, told):
    with pytest.raises(RangeError, match=told):
        call()


def test_an_ellipse_as_wide_as_high_is_a_cylinder_and_twice_as_wide_holds_twice():
    for depth_in in (0.0, 10.0, 30.0, 60.0):
        round_gal = lying_cylinder_gal(60, 96, depth_in)
        assert lying_ellipse_gal(60, 60, 96, depth_in) == pytest.approx(round_gal)
        assert lying_ellipse_gal(120, 60, 96, depth_in) == pytest.approx(2 * round_gal)


def test_gallons_per_inch_of_a_lying_tank_add_up_to_its_volume():
    depths = np.linspace(0, 48, 4801)
    each = [lying_ellipse_gal_per_in(60, 48, 96, float(one)) for one in depths]
    assert np.trapezoid(each, depths) == pytest.approx(lying_ellipse_gal(60, 48, 96, 48), rel=1e-4)
