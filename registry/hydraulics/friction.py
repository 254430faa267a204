"""Head lost to friction in full pipes."""

import math

from registry.hydraulics.ranges import FloatArray, answer, need_above_zero, need_zero_or_more
from registry.units import GPM_PER_FT3_S, IN_PER_FT

C_NEW_PLASTIC = 150.0
"""Hazen-Williams roughness of new plastic pipe, with its true inside diameter. [-]"""

C_OLD_OR_SLIMED = 130.0
"""The cautious roughness for old or slimed pipe. [-]"""

FITTINGS_FACTOR = 1.25
"""Fittings of a supply pipe, as a factor on its length. [-]"""

FLOW_EXPONENT = 1.852


def friction_loss_ft[N: (float, FloatArray)](
    flow_gpm: N | float, diameter_in: N | float, length_ft: N | float, c: N | float = C_NEW_PLASTIC
) -> N:
    """Return the head that a full pipe loses to friction.

    Show ``c`` and the diameter beside every figure: published tables for the same nominal pipe
    differ by half, because some use C = 150 with the true inside diameter and some C = 130 with
    the nominal size.

    Parameters
    ----------
    flow_gpm
        Flow. [US gal/min]
    diameter_in
        Inside diameter. [in]
    length_ft
        Length of the pipe. [ft]
    c
        Hazen-Williams roughness: 150 for new plastic pipe, 130 to 140 as the cautious choice for
        old or slimed pipe. [-]

    Returns
    -------
    float or (n,) array
        Head lost. [ft of water]

    Raises
    ------
    RangeError
        If flow or length is negative, or diameter or roughness is not above zero.

    References
    ----------
    Hazen-Williams equation in US units, 1044.65 · (Q/C)^1.852 · D^−4.8704 per 100 ft, derived from
    hf = 4.727 · L · Q^1.852 / (C^1.852 · D^4.871) in ft and ft³/s (from memory; in any text on
    hydraulics). Tested against 77 Ill. Adm. Code 906 app. A exhibit I and the University of
    Minnesota's pump selection form.
    """
    need_zero_or_more(flow_gpm=flow_gpm, length_ft=length_ft)
    need_above_zero(diameter_in=diameter_in, c=c)
    loss: N = 10.4465 * (flow_gpm / c) ** FLOW_EXPONENT * diameter_in**-4.8704 * length_ft
    return loss


def multiple_outlet_factor(outlets: int, exponent: float = FLOW_EXPONENT) -> float:
    """Return Christiansen's factor: friction of a pipe with even outlets over that of a plain pipe.

    Parameters
    ----------
    outlets
        Number of evenly spaced outlets of equal flow, the first one spacing from the inlet.
    exponent
        Exponent of the flow in the friction formula. [-]

    Returns
    -------
    float
        1/(m + 1) + 1/(2n) + √(m − 1)/(6n²). [-]

    Raises
    ------
    RangeError
        If there is no outlet, or the exponent is below 1.

    References
    ----------
    Christiansen, "Irrigation by Sprinkling", University of California, 1942; from memory.
    """
    need_above_zero(outlets=outlets)
    need_zero_or_more(exponent_less_one=exponent - 1)
    return 1 / (exponent + 1) + 1 / (2 * outlets) + math.sqrt(exponent - 1) / (6 * outlets**2)


def equivalent_length_ft(length_ft: float, factor: float = FITTINGS_FACTOR) -> float:
    """Return the length of plain pipe that loses as much as a pipe with its fittings.

    Parameters
    ----------
    length_ft
        Length of the supply pipe. [ft]
    factor
        Factor for the fittings. [-]

    Returns
    -------
    float
        Equivalent length. [ft]

    Raises
    ------
    RangeError
        If the length is negative or the factor is not above zero.

    References
    ----------
    University of Minnesota onsite program, "Basic Pump Selection Design Worksheet": supply-pipe
    length × 1.25.
    """
    need_zero_or_more(length_ft=length_ft)
    need_above_zero(factor=factor)
    return length_ft * factor


def speed_ft_s[N: (float, FloatArray)](flow_gpm: N | float, diameter_in: N | float) -> N:
    """Return the mean speed of the water in a full pipe.

    Parameters
    ----------
    flow_gpm
        Flow. [US gal/min]
    diameter_in
        Inside diameter. [in]

    Returns
    -------
    float or (n,) array
        Flow over cross-section. [ft/s]

    Raises
    ------
    RangeError
        If the flow is negative or the diameter is not above zero.

    References
    ----------
    Continuity; 1 ft³ = 1728/231 gal.
    """
    need_zero_or_more(flow_gpm=flow_gpm)
    need_above_zero(diameter_in=diameter_in)
    return answer(flow_gpm / GPM_PER_FT3_S / (math.pi / 4 * (diameter_in / IN_PER_FT) ** 2))
