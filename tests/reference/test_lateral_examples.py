"""Solved laterals and the orifice equation itself: values that anyone can compute again.

Status: derived outside this program from Q = 11.79 · d² · √h (Otis 1981, from memory) and the
Hazen-Williams equation with C = 150 and Schedule 40 inside diameters; Christiansen's factor from
memory (1942). The counts of the plumbing-code test are verified: International Private Sewage
Disposal Code 2018, app. B, table B-1.
"""

import pytest

from registry.hydraulics import (
    discharge_of_constant,
    inside_diameter_in,
    multiple_outlet_factor,
    orifice_flow_gpm,
    solve_laterals,
)
from registry.hydraulics.orifice import UNIT_CONSTANT

HOLES_IN = (1 / 8, 5 / 32, 3 / 16, 7 / 32, 1 / 4, 5 / 16, 3 / 8)
EQUATION_GPM = {
    1.0: (0.184, 0.288, 0.414, 0.564, 0.737, 1.151, 1.658),
    2.0: (0.261, 0.407, 0.586, 0.798, 1.042, 1.628, 2.345),
    2.5: (0.291, 0.455, 0.655, 0.892, 1.165, 1.820, 2.621),
    3.0: (0.319, 0.499, 0.718, 0.977, 1.276, 1.994, 2.872),
    3.5: (0.345, 0.539, 0.775, 1.055, 1.379, 2.154, 3.102),
    4.0: (0.368, 0.576, 0.829, 1.128, 1.474, 2.303, 3.316),
    5.0: (0.412, 0.644, 0.927, 1.262, 1.648, 2.575, 3.707),
    6.0: (0.451, 0.705, 1.015, 1.382, 1.805, 2.820, 4.061),
}
LATERALS = [
    (1 / 8, 2.0, 20, 1.0, 5.0, 8.352, 5.506, 4.94),
    (3 / 16, 3.0, 15, 1.25, 2.0, 8.894, 2.164, 4.03),
    (1 / 4, 3.0, 8, 1.0, 2.5, 9.512, 2.841, 6.61),
    (7 / 32, 3.0, 21, 2.0, 1.0, 11.941, 1.057, 2.83),
    (1 / 8, 2.0, 25, 1.25, 5.0, 10.369, 5.254, 2.51),
]
"""Hole, spacing [ft], holes, pipe, far head → flow [gpm], inlet head [ft], variation [%]."""


@pytest.mark.parametrize(
    ("head_ft", "hole_in", "flow_gpm"),
    [(h, d, q) for h, row in EQUATION_GPM.items() for d, q in zip(HOLES_IN, row, strict=True)],
)
def test_the_equation_gives_its_own_table(head_ft, hole_in, flow_gpm):
    assert orifice_flow_gpm(head_ft, hole_in) == pytest.approx(flow_gpm, abs=0.001)


def test_the_constant_stands_for_a_coefficient_of_0_6004():
    assert pytest.approx(19.637, rel=0.001) == UNIT_CONSTANT
    assert discharge_of_constant(11.79) == pytest.approx(0.6004, rel=0.001)


@pytest.mark.parametrize(("constant", "coefficient"), [(12.38, 0.630), (13.0, 0.662)])
def test_other_constants_stand_for_other_coefficients(constant, coefficient):
    assert discharge_of_constant(constant) == pytest.approx(coefficient, rel=0.001)


@pytest.mark.parametrize(
    ("hole_in", "spacing_ft", "holes", "nominal_in", "far_ft", "flow", "inlet_ft", "percent"),
    LATERALS,
)
def test_solved_laterals_are_reproduced(
    hole_in, spacing_ft, holes, nominal_in, far_ft, flow, inlet_ft, percent
):
    lateral = solve_laterals(
        holes, inside_diameter_in(nominal_in), far_ft, spacing_ft=spacing_ft, hole_in=hole_in
    )
    assert float(lateral.flow_gpm) == pytest.approx(flow, rel=0.001)
    assert float(lateral.inlet_head_ft) == pytest.approx(inlet_ft, rel=0.001)
    assert 100 * float(lateral.variation_share) == pytest.approx(percent, abs=0.01)


@pytest.mark.parametrize(
    ("nominal_in", "holes", "percent"), [(1.0, 9, 9.4), (1.25, 14, 9.3), (1.5, 17, 7.8)]
)
def test_the_plumbing_codes_longest_laterals_stay_under_ten_percent(nominal_in, holes, percent):
    """1/4 in holes 3 ft apart to 25, 40 and 50 ft of 1, 1 1/4 and 1 1/2 in pipe; 2.5 ft of head."""
    lateral = solve_laterals(
        holes, inside_diameter_in(nominal_in), 2.5, spacing_ft=3.0, hole_in=1 / 4
    )
    assert 100 * float(lateral.variation_share) == pytest.approx(percent, abs=0.2)


@pytest.mark.parametrize(("outlets", "factor"), [(5, 0.457), (10, 0.402), (20, 0.376), (50, 0.361)])
def test_christiansens_factor_is_as_derived(outlets, factor):
    assert multiple_outlet_factor(outlets) == pytest.approx(factor, abs=0.001)
