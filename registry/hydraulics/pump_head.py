"""The head that a pump must give."""

from registry.errors import RangeError
from registry.hydraulics.friction import FITTINGS_FACTOR, equivalent_length_ft
from registry.hydraulics.ranges import need_zero_or_more

NETWORK_ALLOWANCE_FT = {1.0: 5.0, 2.0: 6.0, 5.0: 10.0}
"""Least head at the far hole → allowance for the whole network, least head included. [ft]
University of Minnesota, "Basic Pump Selection Design Worksheet"."""


def network_allowance_ft(least_head_ft: float) -> float:
    """Return the pump form's allowance for the head in the distribution network.

    Parameters
    ----------
    least_head_ft
        Least head at the far hole: 1, 2 or 5. [ft]

    Returns
    -------
    float
        Allowance, the least head included. [ft]

    Raises
    ------
    RangeError
        If the form has no figure for that head.

    References
    ----------
    University of Minnesota, "Basic Pump Selection Design Worksheet", distribution head loss.
    """
    if least_head_ft not in NETWORK_ALLOWANCE_FT:
        raise RangeError(
            f"the form has no allowance for a least head of {least_head_ft:g} ft: take 1, 2 or "
            "5 ft, or solve the network"
        )
    return NETWORK_ALLOWANCE_FT[least_head_ft]


def supply_loss_ft(
    loss_ft_per_100_ft: float, length_ft: float, fittings_factor: float = FITTINGS_FACTOR
) -> float:
    """Return the head lost in a supply pipe with its fittings.

    Parameters
    ----------
    loss_ft_per_100_ft
        Friction of 100 ft of the pipe at the flow: a table's figure or `friction_loss_ft`. [ft]
    length_ft
        Length of the pipe. [ft]
    fittings_factor
        Factor on the length for fittings. [-]

    Returns
    -------
    float
        Head lost. [ft]

    Raises
    ------
    RangeError
        If a figure is negative or the factor is not above zero.

    References
    ----------
    University of Minnesota, "Basic Pump Selection Design Worksheet".
    """
    need_zero_or_more(loss_ft_per_100_ft=loss_ft_per_100_ft)
    return loss_ft_per_100_ft * equivalent_length_ft(length_ft, fittings_factor) / 100


def pump_head_ft(lift_ft: float, network_ft: float, supply_loss_ft: float) -> float:
    """Return the total head that a pump must give.

    Parameters
    ----------
    lift_ft
        Height from low water in the pump tank to the laterals. [ft]
    network_ft
        Head kept at the far hole and lost in the network. [ft]
    supply_loss_ft
        Head lost in the supply pipe. [ft]

    Returns
    -------
    float
        Sum. [ft]

    Raises
    ------
    RangeError
        If a loss is negative; the lift may be (a field below the tank).

    References
    ----------
    N.J. Admin. Code 7:9A-9.7: H_t = H_f + H_e + H_p; University of Minnesota, "Basic Pump Selection
    Design Worksheet".
    """
    need_zero_or_more(network_ft=network_ft, supply_loss_ft=supply_loss_ft)
    return lift_ft + network_ft + supply_loss_ft
