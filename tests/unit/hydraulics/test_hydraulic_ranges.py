"""Formulas refuse numbers outside the range in which they hold, and say which number it is."""

import numpy as np
import pytest

from registry import hydraulics as h
from registry.errors import RangeError

NAN, INF = float("nan"), float("inf")


@pytest.mark.parametrize(
    ("formula", "arguments", "told"),
    [
        (h.orifice_flow_gpm, (-1.0, 0.25), "head_ft is -1"),
        (h.orifice_flow_gpm, (NAN, 0.25), "head_ft is nan"),
        (h.orifice_flow_gpm, (1.0, 0.0), "diameter_in is 0"),
        (h.orifice_flow_gpm, (1.0, 0.25, 0.0), "discharge is 0"),
        (h.orifice_head_ft, (-1.0, 0.25), "flow_gpm is -1"),
        (h.discharge_of_constant, (0.0,), "constant is 0"),
        (h.friction_loss_ft, (-5.0, 2.0, 10.0), "flow_gpm is -5"),
        (h.friction_loss_ft, (5.0, 0.0, 10.0), "diameter_in is 0"),
        (h.friction_loss_ft, (5.0, 2.0, INF), "length_ft is inf"),
        (h.friction_loss_ft, (5.0, 2.0, 10.0, 0.0), "c is 0"),
        (h.multiple_outlet_factor, (0,), "outlets is 0"),
        (h.multiple_outlet_factor, (5, 0.5), "exponent"),
        (h.inside_diameter_in, (2.5,), "no pipe of nominal size 2.5 in"),
        (h.solve_laterals, (0, 1.0, 1.0), "holes is 0"),
        (h.solve_laterals, (5, 1.0, 0.0), "far_head_ft is 0"),
        (h.solve_laterals, (2.5, 1.0, 1.0), "whole number"),
        (h.evenness, ([],), "no squirt height"),
        (h.evenness, ([60.0, 0.0],), "heights_in is 0 at its least"),
        (h.lying_cylinder_gal, (60, 96, 61), "depth_in is 61"),
        (h.compartments_gal, (1000, 1.5), "first_share is 1.5"),
        (h.drawdown_rate_gpm, (-2.0, 20.0, 3.0), "drop_in is -2"),
        (h.drawdown_rate_gpm, (2.0, 20.0, 0.0), "minutes is 0"),
        (h.daily_flow_gpd, (10, 64, 0), "days is 0"),
        (h.metered_flow_gpd, (-0.1, 36, 10), "run_h is -0.1"),
        (h.hours_between, (20.0, 10.0), "the meter reads 10 and read 20 last time"),
        (h.counts_between, (-1, 10), "counter_before is -1"),
        (h.dose_to_field_gal, (10, 12), "drain-back of 12 gal is more than the dose"),
        (h.timer_min, (75, 0.3, 6), "do not fit into a day"),
        (h.network_allowance_ft, (3.0,), "no allowance"),
        (h.fineness_modulus, ({"4": 5.0},), "no figure for sieve 3/8"),
    ],
)
def test_a_number_out_of_range_is_refused_by_name(formula, arguments, told):
    with pytest.raises(RangeError, match=told):
        formula(*arguments)


def test_one_bad_number_in_an_array_is_refused():
    with pytest.raises(RangeError, match="head_ft is -1 at its least"):
        h.orifice_flow_gpm(np.array([1.0, -1.0]), 0.25)


def test_zero_head_and_zero_flow_are_zero():
    assert h.orifice_flow_gpm(0.0, 0.25) == 0
    assert h.friction_loss_ft(0.0, 2.0, 100) == 0
    assert h.drawdown_rate_gpm(0.0, 20.0, 3.0) == 0


def test_sand_with_more_through_the_finer_sieve_is_refused():
    passing = {"3/8": 100, "4": 98, "8": 90, "16": 60, "30": 61, "50": 20, "100": 5, "200": 1}
    with pytest.raises(RangeError, match="more passes sieve 30 than sieve 16"):
        h.gradation_faults(passing)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (h.orifice_flow_gpm, (2.5, 0.25)),
        (h.friction_loss_ft, (12.0, 1.38, 50.0)),
        (h.drawdown_rate_gpm, (7.5, 14.42, 3.0)),
        (h.daily_flow_gpd, (640.0, 64.0, 120.0)),
        (h.rectangular_gal_per_in, (49.0, 60.0)),
        (h.pipe_gal_per_ft, (2.067,)),
    ],
)
def test_numbers_give_a_number_and_arrays_the_same_numbers(formula, arguments):
    one = formula(*arguments)
    assert type(one) is float
    many = formula(*(np.full(3, value) for value in arguments))
    assert many.shape == (3,)
    assert many == pytest.approx([one] * 3)


def test_an_array_may_meet_plain_numbers():
    flows = h.orifice_flow_gpm(4.0, np.array([1 / 8, 1 / 4]))
    assert flows[1] == pytest.approx(4 * flows[0])
    assert h.friction_loss_ft(np.array([5, 10]), 1.049, 100).shape == (2,)
