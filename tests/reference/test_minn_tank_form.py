"""University of Minnesota onsite program, Pump Tank Design Worksheet, public permit scans.

Status: verified in the scans; the second cover volume is derived.
"""

import pytest

from registry.hydraulics import rectangular_gal_per_in, tank_volume_gal, water_over_pump_gal


def test_gallons_per_inch_of_forty_square_feet_are_as_printed():
    """The form takes 7.5 gal/ft³, hence 0.3 %."""
    gal_per_in = rectangular_gal_per_in(12 * 8, 12 * 5)
    assert gal_per_in == pytest.approx(25.0, rel=0.003)
    assert tank_volume_gal(40, gal_per_in) == pytest.approx(1000, rel=0.003)


@pytest.mark.parametrize(
    ("pump_in", "gal_per_in", "printed_gal"), [(16, 25.5, 459), (14, 24.9, 398)]
)
def test_water_over_the_pump_is_as_printed(pump_in, gal_per_in, printed_gal):
    assert water_over_pump_gal(pump_in, 2, gal_per_in) == pytest.approx(printed_gal, abs=1)
