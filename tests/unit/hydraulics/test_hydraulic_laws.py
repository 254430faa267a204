"""What must always hold, whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry import hydraulics as h
from registry import units

heads = st.floats(0.05, 50)
holes_in = st.floats(0.05, 1.0)
flows = st.floats(0.1, 200)
pipes = st.sampled_from([1.049, 1.380, 1.610, 2.067, 3.068])
few = settings(max_examples=50)


@few
@given(heads, holes_in)
def test_double_the_head_gives_root_two_and_double_the_hole_four_times_the_flow(head_ft, hole_in):
    flow = h.orifice_flow_gpm(head_ft, hole_in)
    assert h.orifice_flow_gpm(2 * head_ft, hole_in) == pytest.approx(2**0.5 * flow)
    assert h.orifice_flow_gpm(head_ft, 2 * hole_in) == pytest.approx(4 * flow)


@few
@given(heads, holes_in)
def test_flow_and_head_lead_back_to_each_other(head_ft, hole_in):
    flow = h.orifice_flow_gpm(head_ft, hole_in)
    assert h.orifice_head_ft(flow, hole_in) == pytest.approx(head_ft)


@few
@given(flows, pipes, st.floats(1, 500))
def test_friction_grows_with_flow_and_length_and_falls_with_diameter(flow_gpm, pipe_in, length_ft):
    loss = h.friction_loss_ft(flow_gpm, pipe_in, length_ft)
    assert h.friction_loss_ft(1.1 * flow_gpm, pipe_in, length_ft) > loss
    assert h.friction_loss_ft(flow_gpm, pipe_in, 2 * length_ft) == pytest.approx(2 * loss)
    assert h.friction_loss_ft(flow_gpm, 1.1 * pipe_in, length_ft) < loss


@few
@given(st.integers(1, 60), pipes, st.floats(0.5, 10), st.floats(1, 6), st.floats(0.1, 0.3))
def test_what_enters_a_lateral_leaves_by_its_holes(holes, pipe_in, far_ft, spacing_ft, hole_in):
    lateral = h.solve_laterals(holes, pipe_in, far_ft, spacing_ft=spacing_ft, hole_in=hole_in)
    assert float(lateral.flow_gpm) == pytest.approx(float(lateral.hole_flow_gpm.sum()))
    heads_ft, passed = lateral.hole_head_ft, np.cumsum(lateral.hole_flow_gpm)[:-1]
    losses = h.friction_loss_ft(passed, pipe_in, spacing_ft)
    assert np.diff(heads_ft) == pytest.approx(losses)
    assert float(lateral.inlet_head_ft) == heads_ft[-1]
    assert heads_ft[0] == far_ft


def test_many_laterals_at_once_are_solved_as_one_by_one():
    holes, pipes_in, far_ft = np.array([20, 15, 8]), np.array([1.049, 1.380, 1.049]), 2.5
    together = h.solve_laterals(holes, pipes_in, far_ft, spacing_ft=3.0, hole_in=3 / 16)
    for i, (count, pipe_in) in enumerate(zip(holes, pipes_in, strict=True)):
        alone = h.solve_laterals(int(count), pipe_in, far_ft, spacing_ft=3.0, hole_in=3 / 16)
        assert together.flow_gpm[i] == pytest.approx(float(alone.flow_gpm))
        assert together.inlet_head_ft[i] == pytest.approx(float(alone.inlet_head_ft))
        assert together.variation_share[i] == pytest.approx(float(alone.variation_share))
        assert together.hole_flow_gpm[i][:count] == pytest.approx(alone.hole_flow_gpm)
        assert np.isnan(together.hole_flow_gpm[i][count:]).all()


def test_one_hole_more_than_the_most_is_uneven():
    count = h.most_holes(1.049, 1.0, spacing_ft=3.0, hole_in=1 / 4)
    even = h.solve_laterals(count, 1.049, 1.0, spacing_ft=3.0, hole_in=1 / 4)
    uneven = h.solve_laterals(count + 1, 1.049, 1.0, spacing_ft=3.0, hole_in=1 / 4)
    assert float(even.variation_share) <= 0.10 < float(uneven.variation_share)


@few
@given(st.floats(0, 60))
def test_a_lying_cylinder_holds_full_less_what_is_empty(depth_in):
    full = h.lying_cylinder_gal(60, 96, 60)
    part = h.lying_cylinder_gal(60, 96, depth_in)
    assert part + h.lying_cylinder_gal(60, 96, 60 - depth_in) == pytest.approx(full)


@few
@given(st.integers(0, 99_999), st.integers(0, 99_999))
def test_a_counter_never_goes_backwards(before, after):
    if after >= before:
        assert h.counts_between(before, after) == after - before
    else:
        assert h.counts_between(before, after, digits=5) == (after - before) % 100_000


@few
@given(st.lists(st.floats(1, 100), min_size=1, max_size=12))
def test_heights_and_flows_are_even_or_uneven_together(heights_in):
    told = h.evenness(heights_in)
    assert told.height_share == pytest.approx(h.height_share_of(told.flow_share), abs=1e-9)


@few
@given(st.floats(-1e6, 1e6))
def test_feet_and_metres_lead_back_to_each_other(length_ft):
    assert units.ft_from_m(units.m_from_ft(length_ft)) == pytest.approx(length_ft)


def test_gallons_and_flows_are_the_exact_ones():
    """1 gal = 231 in³ by law; 7.480519 gal/ft³ and 448.831 gpm per ft³/s follow from it."""
    assert pytest.approx(7.480519, abs=1e-6) == units.GAL_PER_FT3
    assert pytest.approx(448.831, abs=1e-3) == units.GPM_PER_FT3_S
