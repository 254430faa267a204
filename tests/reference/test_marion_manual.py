"""Operation and maintenance manual, archive of Marion County, Oregon: drawdown and flow pages.

Status: verified (steps 14 to 18 and the meter in hours); the 10 % of agreement is common practice.
"""

import pytest

from registry.hydraulics import drawdown_rate_gpm, flows_agree, meter_h


def test_rate_is_inches_by_gallons_per_inch_over_minutes():
    minutes = 60 * meter_h(0, 6)
    assert minutes == pytest.approx(6)
    assert drawdown_rate_gpm(9.0, 20.0, minutes) == pytest.approx(30.0)


def test_an_hour_and_a_quarter_reads_1_25():
    assert meter_h(1, 15) == 1.25


@pytest.mark.parametrize(("by_meter_gpd", "agrees"), [(341, True), (375, True), (418, False)])
def test_counter_and_meter_must_be_very_similar(by_meter_gpd, agrees):
    assert flows_agree(341, by_meter_gpd) is agrees
