"""Values of common practice, no source: what the trade takes for granted, through what uses it."""

import pytest

from registry.hydraulics import (
    ball_valve_open_share,
    compartments_gal,
    daily_flow_gpd,
    orifice_flow_gpm,
    pea_gravel_depth_in,
    pump_starts,
    purge_run_s,
    purge_water_gal,
    sand_ft3,
    solve_laterals,
)
from registry.hydraulics.practice import PURGE_S


def test_a_tank_is_split_two_thirds_to_one_third():
    assert compartments_gal(1500) == pytest.approx((1000, 500))


def test_a_sand_bed_is_24_inches_deep():
    assert sand_ft3(360) == pytest.approx(720)


def test_pea_gravel_lies_six_inches_under_and_two_to_three_above_the_laterals():
    assert pea_gravel_depth_in(1.315) == pytest.approx((9.315, 10.315))


def test_holes_on_sand_are_an_eighth_of_an_inch_every_24_inches():
    lateral = solve_laterals(2, 1.049, 5.0)
    assert float(lateral.hole_flow_gpm[0]) == pytest.approx(orifice_flow_gpm(5.0, 0.125))
    given = solve_laterals(2, 1.049, 5.0, spacing_ft=24 / 12, hole_in=1 / 8)
    assert float(lateral.flow_gpm) == float(given.flow_gpm)


def test_laterals_are_purged_one_at_a_time_for_10_to_15_seconds():
    assert PURGE_S == (10, 15)
    assert purge_run_s(8) == 8 * 15
    assert purge_run_s(8, PURGE_S[0]) == 8 * 10
    assert purge_water_gal(8, 25) == pytest.approx(50)


@pytest.mark.parametrize(
    ("handle_deg", "open_share"), [(90, 0), (270, 0), (-90, 0), (0, 1), (180, 1), (45, 0.5)]
)
def test_a_ball_valve_across_the_pipe_is_shut(handle_deg, open_share):
    assert ball_valve_open_share(handle_deg) == pytest.approx(open_share)


def test_one_pump_start_advances_the_counter_by_one():
    assert pump_starts(640) == 640
    assert daily_flow_gpd(1, 64, 1) == 64
