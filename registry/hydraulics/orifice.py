"""Flow from an orifice, and the head behind a flow."""

import math

from registry.hydraulics.ranges import FloatArray, answer, need_above_zero, need_zero_or_more
from registry.units import GPM_PER_FT3_S, GRAVITY_FT_S2, IN_PER_FT

UNIT_CONSTANT = math.pi / 4 / IN_PER_FT**2 * math.sqrt(2 * GRAVITY_FT_S2) * GPM_PER_FT3_S
"""Flow of a hole of 1 in under 1 ft for a discharge coefficient of 1: 19.637. [US gal/min]"""

FREE_DISCHARGE = 0.6004
"""Discharge coefficient behind the trade's constant 11.79. [-]"""


def orifice_flow_gpm[N: (float, FloatArray)](
    head_ft: N | float, diameter_in: N | float, discharge: N | float = FREE_DISCHARGE
) -> N:
    """Return the flow from one orifice that discharges freely.

    Parameters
    ----------
    head_ft
        Pressure head at the orifice, measured as squirt height. [ft]
    diameter_in
        Diameter of the orifice. [in]
    discharge
        Discharge coefficient; 0.6004 gives the constant 11.79 of the trade's tables, 0.630 gives
        12.38, 0.662 gives 13.0. [-]

    Returns
    -------
    float or (n,) array
        Flow, 11.79 · d² · √h for the usual coefficient. [US gal/min]

    Raises
    ------
    RangeError
        If the head is negative or the diameter or coefficient is not above zero.

    References
    ----------
    Torricelli's law, Q = Cd · A · √(2gh). The constant 11.79 is from memory (Otis 1981; Converse
    and Tyler 2000, neither read here); it reproduces the printed tables of N.J. Admin. Code
    7:9A-9.7, Nev. Admin. Code 445A.969 and the University of Minnesota's pressure distribution
    form, which are this function's tests.
    """
    need_zero_or_more(head_ft=head_ft)
    need_above_zero(diameter_in=diameter_in, discharge=discharge)
    flow: N = discharge * UNIT_CONSTANT * diameter_in**2 * head_ft**0.5
    return flow


def orifice_head_ft[N: (float, FloatArray)](
    flow_gpm: N | float, diameter_in: N | float, discharge: N | float = FREE_DISCHARGE
) -> N:
    """Return the head behind an orifice's flow; the inverse of `orifice_flow_gpm`.

    Parameters
    ----------
    flow_gpm
        Flow from one orifice. [US gal/min]
    diameter_in
        Diameter of the orifice. [in]
    discharge
        Discharge coefficient. [-]

    Returns
    -------
    float or (n,) array
        Pressure head at the orifice. [ft]

    Raises
    ------
    RangeError
        If the flow is negative or the diameter or coefficient is not above zero.

    References
    ----------
    As for `orifice_flow_gpm`.
    """
    need_zero_or_more(flow_gpm=flow_gpm)
    need_above_zero(diameter_in=diameter_in, discharge=discharge)
    return answer((flow_gpm / (discharge * UNIT_CONSTANT * diameter_in**2)) ** 2)


def discharge_of_constant(constant: float) -> float:
    """Return the discharge coefficient behind a table's constant K in Q = K · d² · √h.

    Parameters
    ----------
    constant
        K for flow in US gal/min, diameter in inches, head in feet.

    Returns
    -------
    float
        Discharge coefficient. [-]

    Raises
    ------
    RangeError
        If the constant is not above zero.

    References
    ----------
    As for `orifice_flow_gpm`.
    """
    need_above_zero(constant=constant)
    return constant / UNIT_CONSTANT
