"""Valves: turns to open share, and the head that a partly open valve takes."""

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.friction import speed_ft_s
from registry.hydraulics.ranges import FloatArray, Numbers, need_above_zero, need_zero_or_more
from registry.units import GRAVITY_FT_S2

FULL_TURNS = 5.0
"""Turns of a small gate valve from shut to open, where the valve's own are not known. Common
practice, no source: count them once and keep them."""

GATE_LOSS = ((0.25, 24.0), (0.50, 4.5), (0.75, 0.9), (1.0, 0.17))
"""Open share → loss coefficient of a gate valve, velocity heads. Handbook table, read in a copy."""

OTHER_GATE_LOSS = ((0.25, 17.0), (0.50, 2.1), (0.75, 0.26), (1.0, 0.15))
"""The same from another textbook's table, read in a copy: at half open less than half of it."""


def open_share_of_turns(turns_open: float, full_turns: float = FULL_TURNS) -> float:
    """Return how far a gate valve is open from its turns, counted from shut.

    Parameters
    ----------
    turns_open
        Turns open. [turns]
    full_turns
        Turns from shut to fully open. [turns]

    Returns
    -------
    float
        Share of the stem's travel, 0 to 1. Not the share of the flow: half open passes nearly all.

    Raises
    ------
    RangeError
        If the turns are negative or more than the valve has.

    References
    ----------
    Common practice, no source: the gate moves evenly with the stem.
    """
    need_zero_or_more(turns_open=turns_open)
    need_above_zero(full_turns=full_turns)
    if turns_open > full_turns:
        raise RangeError(
            f"turns_open is {turns_open:g}: a valve of {full_turns:g} turns has no more"
        )
    return turns_open / full_turns


def valve_loss_factor(open_share: Numbers) -> FloatArray:
    """Return the loss coefficient of a partly open gate valve.

    Parameters
    ----------
    open_share
        How far it is open, 0 to 1, any shape. [-]

    Returns
    -------
    array
        Velocity heads lost; infinite for a shut valve. Below a quarter open carried on along the
        table's last step, which is a guess. [-]

    Raises
    ------
    RangeError
        If a share lies outside 0 to 1.

    References
    ----------
    `GATE_LOSS`, straight between its points in logarithms. Published tables differ by up to three
    times (`OTHER_GATE_LOSS`), so a computed turn is a first try that is measured again.
    """
    share = np.asarray(open_share, float)
    if not np.all((share >= 0) & (share <= 1)):
        raise RangeError("open_share lies outside 0 to 1: give 0 for shut, 1 for fully open")
    shares, factors = np.log(np.array(GATE_LOSS)).T
    steepest = (factors[1] - factors[0]) / (shares[1] - shares[0])
    with np.errstate(divide="ignore"):
        at = np.log(share)
    below = np.minimum(at - shares[0], 0.0) * steepest
    return np.asarray(np.exp(np.interp(at, shares, factors) + below))


def open_share_of_loss(loss_factor: Numbers) -> FloatArray:
    """Return how far a gate valve is open from its loss; the inverse of `valve_loss_factor`.

    Parameters
    ----------
    loss_factor
        Velocity heads lost, any shape; below the loss of an open valve counts as open. [-]

    Returns
    -------
    array
        Open share. [-]

    Raises
    ------
    RangeError
        If a loss is negative.
    """
    need_zero_or_more(loss_factor=loss_factor)
    shares, factors = np.log(np.array(GATE_LOSS)).T
    steepest = (factors[1] - factors[0]) / (shares[1] - shares[0])
    at = np.log(np.maximum(np.asarray(loss_factor, float), GATE_LOSS[-1][1]))
    beyond = np.maximum(at - factors[0], 0.0) / steepest
    return np.asarray(np.exp(np.interp(at, factors[::-1], shares[::-1]) + beyond))


def valve_loss_ft(flow_gpm: float, pipe_in: float, open_share: float) -> float:
    """Return the head that a partly open gate valve takes.

    Parameters
    ----------
    flow_gpm
        Flow. [US gal/min]
    pipe_in
        Inside diameter of its pipe. [in]
    open_share
        How far it is open. [-]

    Returns
    -------
    float
        Head. [ft]

    Raises
    ------
    RangeError
        If the flow is negative, the pipe not above zero or the share outside 0 to 1.
    """
    return float(valve_loss_factor(open_share)) * velocity_head_ft(flow_gpm, pipe_in)


def velocity_head_ft(flow_gpm: float, pipe_in: float) -> float:
    """Return the velocity head of a full pipe.

    Parameters
    ----------
    flow_gpm
        Flow. [US gal/min]
    pipe_in
        Inside diameter. [in]

    Returns
    -------
    float
        (Q/A)² / 2g. [ft]

    Raises
    ------
    RangeError
        If the flow is negative or the diameter not above zero.

    References
    ----------
    N.J. Admin. Code 7:9A-9.7, which adds it for siphons with g = 32.2.
    """
    return float(speed_ft_s(flow_gpm, pipe_in)) ** 2 / (2 * GRAVITY_FT_S2)
