"""Purging laterals: the flow that scours, how long it takes and how much water it needs."""

import math

from registry.hydraulics.pipes import pipe_gal_per_ft
from registry.hydraulics.practice import LATERALS_PURGED_AT_ONCE, PURGE_PIPE_VOLUMES, PURGE_S
from registry.hydraulics.ranges import FloatArray, answer, need_above_zero, need_zero_or_more
from registry.units import S_PER_MIN

SCOUR_FT_S = 2.0
"""Speed that carries settled solids. [ft/s] For laterals from memory; the same figure stands in 15A
NCAC 18C .0603 for self-cleaning intake conduits."""


def scour_flow_gpm[N: (float, FloatArray)](diameter_in: N, speed_ft_s: float = SCOUR_FT_S) -> N:
    """Return the flow at a lateral's open end that scours it.

    Parameters
    ----------
    diameter_in
        Inside diameter of the lateral. [in]
    speed_ft_s
        Scouring speed. [ft/s]

    Returns
    -------
    float or (n,) array
        Flow. [US gal/min]

    Raises
    ------
    RangeError
        If a figure is not above zero.

    References
    ----------
    Continuity; for the speed see `SCOUR_FT_S`.
    """
    need_above_zero(speed_ft_s=speed_ft_s)
    return answer(pipe_gal_per_ft(diameter_in) * speed_ft_s * S_PER_MIN)


def pipe_time_s(length_ft: float, speed_ft_s: float = SCOUR_FT_S) -> float:
    """Return the time in which scouring flow moves one pipe volume.

    Parameters
    ----------
    length_ft
        Length of the lateral. [ft]
    speed_ft_s
        Scouring speed. [ft/s]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    RangeError
        If the length is negative or the speed is not above zero.
    """
    need_zero_or_more(length_ft=length_ft)
    need_above_zero(speed_ft_s=speed_ft_s)
    return length_ft / speed_ft_s


def cleared_ft(seconds: float, speed_ft_s: float = SCOUR_FT_S) -> float:
    """Return the length of lateral that a purge of so many seconds clears.

    Parameters
    ----------
    seconds
        Length of the purge. [s]
    speed_ft_s
        Scouring speed. [ft/s]

    Returns
    -------
    float
        Length; 10 to 15 s clear only 20 to 30 ft. [ft]

    Raises
    ------
    RangeError
        If a figure is negative.
    """
    need_zero_or_more(seconds=seconds, speed_ft_s=speed_ft_s)
    return seconds * speed_ft_s


def purge_s(length_ft: float, speed_ft_s: float = SCOUR_FT_S) -> float:
    """Return how long a lateral's end is held open: the trade's 15 s, or one pipe volume if longer.

    Parameters
    ----------
    length_ft
        Length of the lateral. [ft]
    speed_ft_s
        Scouring speed. [ft/s]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    RangeError
        If the length is negative or the speed is not above zero.

    References
    ----------
    10 to 15 s each: common practice, no source; the longer time for longer laterals is ours, since
    15 s at 2 ft/s reach only 30 ft.
    """
    return max(PURGE_S[1], pipe_time_s(length_ft, speed_ft_s))


def purge_run_s(laterals: int, seconds_each: float = PURGE_S[1]) -> float:
    """Return how long the pump runs to purge all laterals, one at a time.

    Parameters
    ----------
    laterals
        Number of laterals.
    seconds_each
        Time at one lateral's open end. [s]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    RangeError
        If a figure is negative.

    References
    ----------
    One at a time: common practice, no source.
    """
    need_zero_or_more(laterals=laterals, seconds_each=seconds_each)
    return math.ceil(laterals / LATERALS_PURGED_AT_ONCE) * seconds_each


def purge_water_gal(laterals: int, flow_gpm: float, seconds_each: float = PURGE_S[1]) -> float:
    """Return the water that a purge of all laterals takes.

    Parameters
    ----------
    laterals
        Number of laterals.
    flow_gpm
        Flow at the open end. [US gal/min]
    seconds_each
        Time at one lateral's open end. [s]

    Returns
    -------
    float
        Volume. [US gal]

    Raises
    ------
    RangeError
        If a figure is negative.

    References
    ----------
    Laterals × flow × seconds / 60.
    """
    need_zero_or_more(flow_gpm=flow_gpm)
    return flow_gpm * purge_run_s(laterals, seconds_each) / S_PER_MIN


def purge_volume_gal(length_ft: float, diameter_in: float) -> tuple[float, float]:
    """Return the water that clears one lateral by the trade's 1.5 to 2 pipe volumes.

    Parameters
    ----------
    length_ft
        Length of the lateral. [ft]
    diameter_in
        Inside diameter. [in]

    Returns
    -------
    tuple of float
        From and to. [US gal]

    Raises
    ------
    RangeError
        If the length is negative or the diameter is not above zero.

    References
    ----------
    Pipe volume by geometry; the factor is common practice, no source.
    """
    need_zero_or_more(length_ft=length_ft)
    pipe_gal = length_ft * pipe_gal_per_ft(diameter_in)
    return pipe_gal * PURGE_PIPE_VOLUMES[0], pipe_gal * PURGE_PIPE_VOLUMES[1]
