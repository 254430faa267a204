"""Tank volumes by geometry, and a municipal tank-sizing sheet of 2009 (City of Yelm, Washington).

Status: the sheet's first two volumes verified (the third is garbled in the scan), the rest derived.
The share of the first compartment: WAC 246-272A-0232 (2005 text), verified.
"""

import pytest

from registry.hydraulics import (
    compartments_gal,
    lying_cylinder_gal,
    rectangular_gal_per_in,
    round_gal_per_in,
    tank_volume_gal,
    uplift_lbf,
)


@pytest.mark.parametrize(
    ("length_in", "width_in", "gal_per_in"), [(48, 84, 17.455), (60, 96, 24.94)]
)
def test_a_rectangular_tank_holds_length_by_width_over_231(length_in, width_in, gal_per_in):
    assert rectangular_gal_per_in(length_in, width_in) == pytest.approx(gal_per_in, abs=0.01)


@pytest.mark.parametrize(
    ("diameter_in", "gal_per_in"),
    [(24, 1.958), (30, 3.060), (36, 4.406), (48, 7.834), (60, 12.240), (72, 17.626)],
)
def test_a_round_tank_holds_its_circle(diameter_in, gal_per_in):
    assert round_gal_per_in(diameter_in) == pytest.approx(gal_per_in, abs=0.002)


@pytest.mark.parametrize(("depth_in", "gal"), [(4.5, 211.2), (22, 1032.5)])
def test_the_published_interior_holds_what_the_sheet_prints(depth_in, gal):
    volume = tank_volume_gal(depth_in, rectangular_gal_per_in(78, 139))
    assert volume == pytest.approx(gal, abs=0.1)


@pytest.mark.parametrize(("depth_in", "gal"), [(15, 229.7), (30, 587.5), (45, 945.3), (60, 1175.0)])
def test_a_lying_cylinder_holds_its_segment(depth_in, gal):
    assert lying_cylinder_gal(60, 96, depth_in) == pytest.approx(gal, abs=0.1)


def test_the_first_compartment_holds_half_to_two_thirds():
    first, second = compartments_gal(1200)
    assert 1 / 2 <= first / 1200 <= 2 / 3
    assert first + second == pytest.approx(1200)


def test_water_pushes_an_empty_1000_gallon_tank_up_with_8342_pounds():
    assert uplift_lbf(1000) == pytest.approx(8342, abs=1)
