"""77 Ill. Adm. Code 906 (Private Sewage Mound Code), app. A, exhibit I: friction in plastic pipe.

Schedule 40, C = 150, feet per 100 feet. Status: verified; Nev. Admin. Code 445A.969 prints the same
figures. Inside diameters by least wall; tolerances derived (rows between the strong ones look
interpolated in the source).
"""

import pytest

from registry.hydraulics import friction_loss_ft, inside_diameter_in

FRICTION_FT_PER_100_FT = {
    1.0: {
        1: 0.07, 2: 0.28, 3: 0.60, 4: 1.01, 5: 1.52, 6: 2.14, 7: 2.89, 8: 3.63, 9: 4.57, 10: 5.50,
    },
    1.25: {
        2: 0.07, 3: 0.16, 4: 0.25, 5: 0.39, 6: 0.55, 7: 0.76, 8: 0.97, 9: 1.21, 10: 1.46, 11: 1.77,
        12: 2.09, 13: 2.42, 14: 2.74, 15: 3.06, 16: 3.49, 17: 3.93, 18: 4.37, 19: 4.81, 20: 5.23,
    },
    1.5: {
        3: 0.07, 4: 0.12, 5: 0.18, 6: 0.25, 7: 0.36, 8: 0.46, 9: 0.58, 10: 0.70, 11: 0.84, 12: 1.01,
        13: 1.17, 14: 1.33, 15: 1.45, 16: 1.65, 17: 1.86, 18: 2.07, 19: 2.28, 20: 2.46, 25: 3.75,
        30: 5.22,
    },
    2.0: {
        6: 0.07, 7: 0.10, 8: 0.14, 9: 0.17, 10: 0.21, 11: 0.25, 12: 0.30, 13: 0.35, 14: 0.39,
        15: 0.44, 16: 0.50, 17: 0.56, 18: 0.62, 19: 0.68, 20: 0.74, 25: 1.10, 30: 1.54, 35: 2.05,
        40: 2.62, 45: 3.27, 50: 3.98,
    },
    3.0: {
        15: 0.07, 20: 0.12, 25: 0.16, 30: 0.23, 35: 0.30, 40: 0.39, 45: 0.48, 50: 0.58, 60: 0.81,
        70: 1.08, 80: 1.38, 90: 1.73, 100: 2.09,
    },
}  # fmt: skip
"""Nominal size [in] → flow [gpm] → friction."""

STRONG = {1.0: (5, 8, 10), 1.25: (15, 20), 1.5: (15, 20, 25, 30), 2.0: (25, 30, 35, 40, 45, 50),
          3.0: (60, 70, 80, 90, 100)}  # fmt: skip
"""Nominal size [in] → flows whose figure the equation meets within 1 %."""

CELLS = [(d, q, h) for d, row in FRICTION_FT_PER_100_FT.items() for q, h in row.items()]


@pytest.mark.parametrize(("nominal_in", "flow_gpm", "printed_ft"), CELLS)
def test_every_friction_figure_is_as_printed(nominal_in, flow_gpm, printed_ft):
    loss_ft = friction_loss_ft(flow_gpm, inside_diameter_in(nominal_in), 100)
    is_strong = flow_gpm in STRONG[nominal_in]
    tolerance = 0.01 * printed_ft if is_strong else max(0.015, 0.065 * printed_ft)
    assert loss_ft == pytest.approx(printed_ft, abs=tolerance)
