"""University of Minnesota onsite program, Basic Pump Selection Design Worksheet.

Read in public permit scans. Status: figures verified in the scans (ten agree); sums and tolerances
derived.
"""

import pytest

from registry.hydraulics import (
    equivalent_length_ft,
    friction_loss_ft,
    network_allowance_ft,
    pump_head_ft,
    supply_loss_ft,
)

FORM_C = 130
"""Roughness that, with the nominal size as diameter, gives the form's table (derived)."""

FRICTION_FT_PER_100_FT = {
    10: {1: 9.1, 1.25: 3.1, 1.5: 1.3, 2: 0.3},
    12: {1: 12.8, 1.25: 4.3, 1.5: 1.8, 2: 0.4},
    14: {1: 17.0, 1.25: 5.7, 1.5: 2.4, 2: 0.6},
    16: {1: 21.8, 1.25: 7.3, 1.5: 3.0, 2: 0.7},
    18: {1.25: 9.1, 1.5: 3.8, 2: 0.9},
    20: {1.25: 11.1, 1.5: 4.6, 2: 1.1},
    25: {1.25: 16.8, 1.5: 6.9, 2: 1.7},
    30: {1.25: 23.5, 1.5: 9.7, 2: 2.4},
    35: {1.5: 12.9, 2: 3.2},
    40: {1.5: 16.5, 2: 4.1},
    45: {1.5: 20.5, 2: 5.0},
    50: {2: 6.1},
    60: {2: 8.6},
    70: {2: 11.4},
    85: {2: 16.4},
    95: {2: 20.1},
}


@pytest.mark.parametrize(
    ("flow_gpm", "size_in", "printed_ft"),
    [(q, d, h) for q, row in FRICTION_FT_PER_100_FT.items() for d, h in row.items()],
)
def test_every_friction_figure_is_as_printed(flow_gpm, size_in, printed_ft):
    loss_ft = friction_loss_ft(flow_gpm, size_in, 100, c=FORM_C)
    assert loss_ft == pytest.approx(printed_ft, abs=max(0.015 * printed_ft, 0.1))


@pytest.mark.parametrize(
    ("flow_gpm", "size_in", "printed_ft"),
    [(34, 2, 2.99), (36, 2, 3.32), (38, 2, 3.67), (15, 1.5, 2.67)],
)
def test_in_between_figures_of_the_form_are_as_printed(flow_gpm, size_in, printed_ft):
    assert friction_loss_ft(flow_gpm, size_in, 100, c=FORM_C) == pytest.approx(
        printed_ft, rel=0.006
    )


def test_the_form_loses_half_as_much_again_as_true_diameter_and_c_150():
    """36 gpm in 2 in pipe: 3.32 by this form, 2.16 by the Illinois and Nevada tables (derived)."""
    by_form = friction_loss_ft(36, 2, 100, c=130)
    by_codes = friction_loss_ft(36, 2.067, 100)
    assert by_codes == pytest.approx(2.16, abs=0.01)
    assert by_form / by_codes == pytest.approx(1.53, abs=0.02)


@pytest.mark.parametrize(("length_ft", "printed_ft"), [(95, 118.8), (63, 78.8)])
def test_fittings_lengthen_the_supply_pipe_as_printed(length_ft, printed_ft):
    assert equivalent_length_ft(length_ft) == pytest.approx(printed_ft, abs=0.05)


@pytest.mark.parametrize(("least_ft", "allowance_ft"), [(1, 5), (2, 6), (5, 10)])
def test_the_network_allowance_is_as_printed(least_ft, allowance_ft):
    assert network_allowance_ft(least_ft) == allowance_ft


def test_the_pump_head_of_the_filled_form_adds_up():
    """36 gpm, lift 14 ft, far head 1 ft, 95 ft of 2 in pipe at 3.32 ft/100 ft (inputs printed)."""
    loss_ft = supply_loss_ft(3.32, 95)
    assert loss_ft == pytest.approx(3.94, abs=0.01)
    assert pump_head_ft(14, network_allowance_ft(1), loss_ft) == pytest.approx(22.9, abs=0.1)
    computed_ft = supply_loss_ft(friction_loss_ft(36, 2, 100, c=FORM_C), 95)
    assert pump_head_ft(14, network_allowance_ft(1), computed_ft) == pytest.approx(22.9, abs=0.1)
