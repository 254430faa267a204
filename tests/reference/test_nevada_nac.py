"""Nev. Admin. Code 445A.969 and 444.8396: hole discharge, and a dose of about ten pipe volumes.

Status: verified (two codes, same table).
"""

import pytest

from registry.hydraulics import least_dose_gal, orifice_flow_gpm
from registry.hydraulics.dosing import NEVADA_PIPE_VOLUMES
from registry.units import FT_WATER_PER_PSI

HOLES_IN = (3 / 8, 7 / 16, 1 / 2)
DISCHARGE_GPM = {
    1: (1.66, 2.26, 2.95),
    2: (2.34, 3.19, 4.17),
    3: (2.87, 3.91, 5.10),
    4: (3.31, 4.51, 5.89),
    5: (3.71, 5.04, 6.59),
}


@pytest.mark.parametrize(
    ("head_ft", "hole_in", "printed_gpm"),
    [(h, d, q) for h, row in DISCHARGE_GPM.items() for d, q in zip(HOLES_IN, row, strict=True)],
)
def test_every_discharge_is_as_printed(head_ft, hole_in, printed_gpm):
    assert orifice_flow_gpm(head_ft, hole_in) == pytest.approx(printed_gpm, rel=0.003)


@pytest.mark.parametrize(
    ("head_ft", "printed_psi"), [(1, 0.43), (2, 0.87), (3, 1.30), (4, 1.73), (5, 2.17)]
)
def test_feet_of_water_are_the_printed_pressures(head_ft, printed_psi):
    assert head_ft / FT_WATER_PER_PSI == pytest.approx(printed_psi, abs=0.005)


def test_a_dose_is_about_ten_pipe_volumes():
    assert least_dose_gal(31.1, NEVADA_PIPE_VOLUMES) == pytest.approx(311)
