"""“Onsite Arithmetic”, exercises of a trade journal, 2015-16: flow, pump math parts 2 and 4.

Status: inputs verified; answers verified where a test says printed, else derived.
"""

import pytest

from registry.errors import RangeError
from registry.hydraulics import (
    FORM_GAL_PER_FT,
    FlowUse,
    counts_between,
    daily_flow_gpd,
    dose_to_field_gal,
    doses_a_day,
    drain_back_gal,
    drawdown_rate_gpm,
    float_drop_in,
    flow_use,
    hours_between,
    metered_flow_gpd,
    pump_tank_gal,
    rectangular_gal_per_in,
    reserve_h,
    round_gal_per_in,
    tank_volume_gal,
    timer_min,
)


def test_the_drawdown_exercise_gives_36_gpm():
    """Part 4: 49 × 68 in tank, level from 66 to 73.5 in below the rim in 3 min."""
    gal_per_in = rectangular_gal_per_in(49, 68)
    assert gal_per_in == pytest.approx(14.42, abs=0.01)
    assert tank_volume_gal(7.5, gal_per_in) == pytest.approx(108.2, abs=0.1)
    assert drawdown_rate_gpm(73.5 - 66, gal_per_in, 3) == pytest.approx(36.1, abs=0.1)


def test_the_timer_for_75_gallons_runs_two_minutes():
    """Part 4: 75 gal at 36.06 gpm, six doses a day."""
    on_min, off_min = timer_min(75, 36.06, 6)
    assert on_min == pytest.approx(2.08, abs=0.1)
    assert on_min + off_min == pytest.approx(240)
    assert off_min == pytest.approx(237.9, abs=0.1)


def test_543_cycles_in_120_days_are_fewer_than_the_timer_sets():
    """Part 4: counter 2,899 → 3,442."""
    counts = counts_between(2899, 3442)
    assert counts == 543
    assert doses_a_day(counts, 120) == pytest.approx(4.5, abs=0.05)


def test_the_run_time_meter_gives_418_gallons_a_day():
    """Part 4: meter 192.6 → 215.8 h."""
    run_h = hours_between(192.6, 215.8)
    assert run_h * 60 == pytest.approx(1392, abs=0.01)
    assert run_h * 60 * 36.06 == pytest.approx(50196, abs=1)
    assert metered_flow_gpd(run_h, 36.06, 120) == pytest.approx(418, abs=1)


def test_the_counter_gives_341_gallons_a_day():
    """Flow answers, all printed: off 62 in, on 57 in, 12.8 gal/in, 45,850 → 46,490, 120 days."""
    dose_gal = tank_volume_gal(62 - 57, 12.8)
    assert dose_gal == pytest.approx(64)
    counts = counts_between(45850, 46490)
    assert counts == 640
    assert counts * dose_gal == pytest.approx(40960)
    flow_gpd = daily_flow_gpd(counts, dose_gal, 120)
    assert flow_gpd == pytest.approx(341, abs=1)
    assert flow_use(flow_gpd, 300) is FlowUse.OVER


def test_true_geometry_gives_339_gallons_a_day():
    """Flow answers: 49 × 60 in tank; 12.8 gal/in is printed, feet were rounded first."""
    gal_per_in = rectangular_gal_per_in(49, 60)
    assert gal_per_in == pytest.approx(12.727, abs=0.001)
    assert gal_per_in == pytest.approx(12.8, rel=0.01)
    assert daily_flow_gpd(640, tank_volume_gal(5, gal_per_in), 120) == pytest.approx(339, abs=1)


def test_drain_back_is_taken_off_the_flow_that_reached_the_field():
    """Flow answers: 80 ft of 2 in pipe drain back 13.6 gal (printed) of each 64 gal."""
    back_gal = drain_back_gal(80, FORM_GAL_PER_FT[2.0])
    assert back_gal == pytest.approx(13.6, abs=0.05)
    field_gpd = daily_flow_gpd(640, dose_to_field_gal(64, back_gal), 120)
    assert field_gpd == pytest.approx(269, abs=1)


def test_a_counter_that_went_backwards_is_never_a_negative_flow():
    """Common practice, no source: rolled over, replaced or misread, and the user says which."""
    with pytest.raises(RangeError, match="rolled over"):
        counts_between(99_950, 120)
    assert counts_between(99_950, 120, digits=5) == 170
    with pytest.raises(RangeError, match="did not roll over"):
        counts_between(120, 150, digits=5)
    with pytest.raises(RangeError, match="did not roll over"):
        counts_between(123_456, 150, digits=5)
    with pytest.raises(RangeError, match="counts"):
        daily_flow_gpd(-5, 64, 120)


def test_the_four_by_seven_foot_tank_holds_1003_gallons():
    """Part 2: 17.5 gal/in printed; cover 315, dose 150, alarm 88, reserve 450 gal printed."""
    gal_per_in = rectangular_gal_per_in(48, 84)
    assert gal_per_in == pytest.approx(17.5, rel=0.003)
    alarm_gal = tank_volume_gal(5, gal_per_in)
    assert alarm_gal == pytest.approx(88, abs=1)
    assert pump_tank_gal(315, 150, alarm_gal, 450) == pytest.approx(1003, abs=1)


def test_five_foot_round_tank_is_within_two_percent_of_the_exercise():
    """Part 2 prints 12.25 and 12.5 gal/in for the same tank."""
    assert round_gal_per_in(60) == pytest.approx(12.25, rel=0.003)
    assert round_gal_per_in(60) == pytest.approx(12.5, rel=0.022)


def test_450_gallons_of_reserve_last_36_hours_at_300_gallons_a_day():
    assert reserve_h(450, 300) == pytest.approx(36, abs=0.1)


def test_floats_stand_five_inches_apart_for_a_dose_of_124_gallons():
    """Derived from the Minnesota forms: 124.4 gal in a tank of 25.0 gal/in, plus drain-back."""
    assert float_drop_in(124.4, 25.0) == pytest.approx(4.98, abs=0.05)
    assert float_drop_in(124.4, 25.0, 13.6) == pytest.approx(5.52, abs=0.05)
