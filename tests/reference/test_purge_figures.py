"""Purging laterals: scouring at 2 ft/s.

Status: the speed is verified for intake conduits (15A NCAC 18C .0603) and from memory for laterals;
times and volumes derived; 10 to 15 s and 1.5 to 2 pipe volumes are common practice, no source.
"""

import pytest

from registry.hydraulics import (
    cleared_ft,
    inside_diameter_in,
    pipe_time_s,
    purge_s,
    purge_volume_gal,
    purge_water_gal,
)


@pytest.mark.parametrize(("length_ft", "seconds"), [(30, 15), (50, 25), (60, 30)])
def test_one_pipe_volume_takes_half_a_second_a_foot(length_ft, seconds):
    assert pipe_time_s(length_ft) == seconds
    assert purge_s(length_ft) == seconds


def test_the_trades_seconds_clear_20_to_30_feet():
    assert cleared_ft(10) == 20
    assert cleared_ft(15) == 30
    assert purge_s(12) == 15


@pytest.mark.parametrize(
    ("laterals", "flow_gpm", "seconds", "gal"), [(8, 25, 15, 50), (6, 20, 30, 60)]
)
def test_water_for_a_purge_is_laterals_by_flow_by_time(laterals, flow_gpm, seconds, gal):
    assert purge_water_gal(laterals, flow_gpm, seconds) == pytest.approx(gal)


def test_fifty_feet_of_inch_and_a_quarter_take_six_to_eight_gallons():
    least, most = purge_volume_gal(50, inside_diameter_in(1.25))
    assert least == pytest.approx(5.8, abs=0.05)
    assert most == pytest.approx(7.8, abs=0.05)
