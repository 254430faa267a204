"""Dose counters and run-time meters: differences that are never negative."""

from registry.errors import RangeError
from registry.hydraulics.practice import COUNTS_PER_START
from registry.hydraulics.ranges import need_zero_or_more
from registry.units import MIN_PER_H


def counts_between(before: int, after: int, digits: int | None = None) -> int:
    """Return how far a dose counter went from one reading to the next.

    A reading below the last one has three explanations: the counter rolled over, it was replaced,
    or one reading is wrong. Which one is never guessed.

    Parameters
    ----------
    before
        Reading then.
    after
        Reading now.
    digits
        Digits of a counter that is known to have rolled over once in between; None = it did not.

    Returns
    -------
    int
        Counts, zero or more.

    Raises
    ------
    RangeError
        If a reading is negative, if it went backwards and no roll-over was stated, or if the
        roll-over does not fit the readings.

    References
    ----------
    Common practice, no source.
    """
    return round(_difference(before, after, digits, "counter"))


def hours_between(before_h: float, after_h: float, digits: int | None = None) -> float:
    """Return how long a pump ran from one reading of its run-time meter to the next.

    Parameters
    ----------
    before_h
        Reading then. [h]
    after_h
        Reading now. [h]
    digits
        Digits before the point of a meter that is known to have rolled over once in between; None
        = it did not.

    Returns
    -------
    float
        Run time, zero or more. [h]

    Raises
    ------
    RangeError
        As for `counts_between`.

    References
    ----------
    Common practice, no source.
    """
    return _difference(before_h, after_h, digits, "meter")


def meter_h(hours: float, minutes: float) -> float:
    """Return hours and minutes as a run-time meter shows them.

    Parameters
    ----------
    hours
        Whole hours. [h]
    minutes
        Minutes. [min]

    Returns
    -------
    float
        Decimal hours: 1 h 15 min is 1.25. [h]

    Raises
    ------
    RangeError
        If a figure is negative.

    References
    ----------
    Operation and maintenance manual in the archive of Marion County, Oregon, flow page.
    """
    need_zero_or_more(hours=hours, minutes=minutes)
    return hours + minutes / MIN_PER_H


def pump_starts(counts: int) -> float:
    """Return how often the pump started: one start advances the counter by one.

    Parameters
    ----------
    counts
        Counts between two readings.

    Returns
    -------
    float
        Starts.

    Raises
    ------
    RangeError
        If the counts are negative.

    References
    ----------
    Common practice, no source.
    """
    need_zero_or_more(counts=counts)
    return counts / COUNTS_PER_START


def _difference(before: float, after: float, digits: int | None, what: str) -> float:
    """Return a difference that is zero or more, over a stated roll-over."""
    need_zero_or_more(**{f"{what}_before": before, f"{what}_after": after})
    if digits is None:
        if after < before:
            raise RangeError(
                f"the {what} reads {after:g} and read {before:g} last time: say whether it rolled "
                "over (after how many digits), was replaced, or was misread"
            )
        return after - before
    full = 10.0**digits
    if after >= before or before >= full:
        raise RangeError(
            f"a {what} of {digits} digits did not roll over between {before:g} and {after:g}: "
            "read it again or leave the roll-over out"
        )
    return full - before + after
