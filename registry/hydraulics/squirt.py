"""Squirt heights: how even the flow is, and the least head that is asked for."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.ranges import FloatArray, need_above_zero, need_zero_or_more

LATERAL_FLOW_SHARE = 0.10
"""Greatest difference of flow along one lateral, as a share of the least. Kitsap County Board of
Health Ordinance 2008-01, Policy 18, §1.1.1."""

NETWORK_FLOW_SHARE = 0.15
"""Greatest difference of flow over the whole network, as a share of the least; same source."""


class HeightBase(StrEnum):
    """Which height a difference of heights is a share of."""

    LOWEST = "of the lowest"
    HIGHEST = "of the highest"


class LeastHeadRule(StrEnum):
    """Who asks for which least head."""

    KITSAP = "Kitsap County Policy 18"
    ALBERTA = "Alberta Standard of Practice 2009"
    MINNESOTA_HOME = "Minnesota form, single-family home"
    MINNESOTA_OTHER = "Minnesota form, anything else"
    MOUND = "mound practice (from memory)"


@dataclass(frozen=True, slots=True)
class Evenness:
    """How even a set of squirt heights is. Shares are of the lowest height and the least flow."""

    height_share: float
    flow_share: float
    limit_share: float
    is_even: bool


def height_share_of(flow_share: float, base: HeightBase = HeightBase.LOWEST) -> float:
    """Return the difference of squirt heights that goes with a difference of flow.

    Parameters
    ----------
    flow_share
        Difference of flow as a share of the least flow. [-]
    base
        Which height the answer is a share of.

    Returns
    -------
    float
        (1 + s)² − 1 of the lowest height, or 1 − 1/(1 + s)² of the highest. [-]

    Raises
    ------
    RangeError
        If the share is negative.

    References
    ----------
    Flow grows with the square root of the head. Kitsap County Policy 18 §1.1.1 prints 10 % of flow
    as 21 % of height and 15 % as 32 %, which are shares of the lowest height.
    """
    need_zero_or_more(flow_share=flow_share)
    ratio = (1 + flow_share) ** 2
    return ratio - 1 if base is HeightBase.LOWEST else 1 - 1 / ratio


def height_difference_share(
    heights_in: FloatArray | list[float], base: HeightBase = HeightBase.LOWEST
) -> float:
    """Return the difference between the highest and the lowest squirt height.

    Parameters
    ----------
    heights_in
        Squirt heights, all measured with the same valves open, (n,), any one unit. [in]
    base
        Which height the answer is a share of.

    Returns
    -------
    float
        (highest − lowest) / base. [-]

    Raises
    ------
    RangeError
        If there is no height, or one is not above zero.
    """
    lowest, highest = _ends(heights_in)
    return (highest - lowest) / (lowest if base is HeightBase.LOWEST else highest)


def flow_difference_share(heights_in: FloatArray | list[float]) -> float:
    """Return the difference between the greatest and the least flow behind squirt heights.

    Parameters
    ----------
    heights_in
        Squirt heights of equal holes, (n,), any one unit. [in]

    Returns
    -------
    float
        √(highest / lowest) − 1. [-]

    Raises
    ------
    RangeError
        If there is no height, or one is not above zero.

    References
    ----------
    Torricelli's law; Kitsap County Policy 18 §1.1.1.
    """
    lowest, highest = _ends(heights_in)
    return float((highest / lowest) ** 0.5 - 1)


def evenness(
    heights_in: FloatArray | list[float], limit_share: float = LATERAL_FLOW_SHARE
) -> Evenness:
    """Return how even squirt heights are and whether they pass.

    Parameters
    ----------
    heights_in
        Squirt heights of equal holes, (n,), any one unit. [in]
    limit_share
        Greatest difference of flow: 0.10 along one lateral, 0.15 over the whole network. [-]

    Returns
    -------
    Evenness
        Both shares, the limit and the verdict.

    Raises
    ------
    RangeError
        If there is no height, one is not above zero, or the limit is negative.

    References
    ----------
    Kitsap County Policy 18 §1.1.1.
    """
    need_zero_or_more(limit_share=limit_share)
    flow_share = flow_difference_share(heights_in)
    return Evenness(
        height_difference_share(heights_in), flow_share, limit_share, flow_share <= limit_share
    )


def highest_even_in(lowest_in: float, limit_share: float = LATERAL_FLOW_SHARE) -> float:
    """Return the highest squirt height that is still even with the lowest.

    Parameters
    ----------
    lowest_in
        Lowest squirt height. [in]
    limit_share
        Greatest difference of flow. [-]

    Returns
    -------
    float
        Height. [in]

    Raises
    ------
    RangeError
        If the height is not above zero or the limit is negative.

    References
    ----------
    As for `height_share_of`.
    """
    need_above_zero(lowest_in=lowest_in)
    return lowest_in * (1 + height_share_of(limit_share))


def least_head_ft(orifice_in: float, rule: LeastHeadRule = LeastHeadRule.KITSAP) -> float:
    """Return the least head at the far hole that a rule asks for.

    Sources disagree: 3/16 in holes need 2 ft in Kitsap County and 5 ft in Alberta.

    Parameters
    ----------
    orifice_in
        Diameter of the holes. [in]
    rule
        Whose rule.

    Returns
    -------
    float
        Head. [ft]

    Raises
    ------
    RangeError
        If the diameter is not above zero.

    References
    ----------
    Kitsap County Policy 18 §1.1.2; Alberta Private Sewage Systems Standard of Practice 2009,
    2.6.2.5; University of Minnesota, older pressure distribution form. The mound figures (1/4 in:
    2.5 ft, 3/16 in: 3.5 ft, 1/8 in: 5 ft) are from memory (Converse and Tyler).
    """
    need_above_zero(orifice_in=orifice_in)
    match rule:
        case LeastHeadRule.MINNESOTA_HOME:
            return 1.0
        case LeastHeadRule.MINNESOTA_OTHER:
            return 2.0
        case LeastHeadRule.KITSAP:
            return 2.0 if orifice_in >= 3 / 16 else 5.0
        case LeastHeadRule.ALBERTA:
            return 5.0 if orifice_in <= 3 / 16 else 2.0
        case LeastHeadRule.MOUND:
            return 2.5 if orifice_in >= 1 / 4 else 3.5 if orifice_in >= 3 / 16 else 5.0


def _ends(heights_in: FloatArray | list[float]) -> tuple[float, float]:
    """Return the lowest and the highest height."""
    heights = np.asarray(heights_in, float)
    if heights.size == 0:
        raise RangeError("no squirt height was given: measure at least one")
    need_above_zero(heights_in=heights)
    return float(heights.min()), float(heights.max())
