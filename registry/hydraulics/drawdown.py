"""The drawdown test: how fast a pump takes the tank down."""

from registry.hydraulics.practice import RATE_CHANGE_SHARE
from registry.hydraulics.ranges import FloatArray, answer, need_above_zero, need_zero_or_more


def drawdown_rate_gpm[N: (float, FloatArray)](
    drop_in: N | float, gal_per_in: N | float, minutes: N | float
) -> N:
    """Return a pump's rate from the drop of the level in a timed run, inflow stopped.

    Parameters
    ----------
    drop_in
        Drop of the level, never below zero: a level that rose means that inflow was not stopped.
        [in]
    gal_per_in
        Volume of one inch of depth in the tank. [US gal/in]
    minutes
        Length of the run. [min]

    Returns
    -------
    float or (n,) array
        Rate. [US gal/min]

    Raises
    ------
    RangeError
        If the drop is negative, or volume or time is not above zero.

    References
    ----------
    Operation and maintenance manual in the archive of Marion County, Oregon, drawdown page, steps
    14 to 18: inches × gallons per inch ÷ minutes.
    """
    need_zero_or_more(drop_in=drop_in)
    need_above_zero(gal_per_in=gal_per_in, minutes=minutes)
    return answer(drop_in * gal_per_in / minutes)


def rate_change_share(rate_gpm: float, before_gpm: float) -> float:
    """Return by which share a drawdown rate moved since an earlier test.

    Parameters
    ----------
    rate_gpm
        Rate now. [US gal/min]
    before_gpm
        Rate then. [US gal/min]

    Returns
    -------
    float
        Below zero: worn or blocked pump, clogged holes, shut valve. Above zero: broken pipe, blown
        cap, missing orifice plate. [-]

    Raises
    ------
    RangeError
        If the rate now is negative or the rate then is not above zero.

    References
    ----------
    Common practice, no source.
    """
    need_zero_or_more(rate_gpm=rate_gpm)
    need_above_zero(before_gpm=before_gpm)
    return rate_gpm / before_gpm - 1


def rate_needs_a_look(
    rate_gpm: float, before_gpm: float, limit_share: float = RATE_CHANGE_SHARE
) -> bool:
    """Tell whether a drawdown rate moved by more than the limit since an earlier test.

    Parameters
    ----------
    rate_gpm
        Rate now. [US gal/min]
    before_gpm
        Rate then. [US gal/min]
    limit_share
        Greatest change either way that is let pass. [-]

    Returns
    -------
    bool
        True if someone should look.

    Raises
    ------
    RangeError
        If the rate now is negative or the rate then is not above zero.

    References
    ----------
    ±15 %: common practice, no source.
    """
    return abs(rate_change_share(rate_gpm, before_gpm)) > limit_share
