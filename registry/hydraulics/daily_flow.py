"""Daily flow from a dose counter or a run-time meter, and what it says."""

from enum import StrEnum

from registry.hydraulics.practice import COUNTS_PER_START, FLOWS_AGREE_SHARE, HIGH_USE_SHARE
from registry.hydraulics.ranges import FloatArray, answer, need_above_zero, need_zero_or_more
from registry.units import MIN_PER_H


class FlowUse(StrEnum):
    """Average flow against the design flow."""

    USUAL = "usual"
    HIGH = "high"
    OVER = "over the design flow"


def daily_flow_gpd[N: (float, FloatArray)](
    counts: N | float, gal_per_dose: N | float, days: N | float
) -> N:
    """Return the daily flow from the counts of a dose counter.

    For the flow that reached the field, take drain-back off each dose first (`dose_to_field_gal`).

    Parameters
    ----------
    counts
        Counts between two readings (`counts_between`), zero or more; one pump start advances the
        counter by one.
    gal_per_dose
        Volume of one dose. [US gal]
    days
        Days between the readings. [d]

    Returns
    -------
    float or (n,) array
        Flow. [US gal/d]

    Raises
    ------
    RangeError
        If counts or dose are negative, or days are not above zero. A flow is never negative: a
        counter that went backwards was rolled over, replaced or misread.

    References
    ----------
    "Onsite Arithmetic", flow answers, trade journal, December 2015: 640 cycles of 64 gal in 120
    days are 341 gal a day.
    """
    need_zero_or_more(counts=counts, gal_per_dose=gal_per_dose)
    need_above_zero(days=days)
    return answer(counts / COUNTS_PER_START * gal_per_dose / days)


def metered_flow_gpd[N: (float, FloatArray)](
    run_h: N | float, rate_gpm: N | float, days: N | float
) -> N:
    """Return the daily flow from the hours of a run-time meter.

    Parameters
    ----------
    run_h
        Run time between two readings (`hours_between`). [h]
    rate_gpm
        The pump's rate by a drawdown test. [US gal/min]
    days
        Days between the readings. [d]

    Returns
    -------
    float or (n,) array
        Flow. [US gal/d]

    Raises
    ------
    RangeError
        If run time or rate are negative, or days are not above zero.

    References
    ----------
    "Onsite Arithmetic", pump math part 4, trade journal, December 2016.
    """
    need_zero_or_more(run_h=run_h, rate_gpm=rate_gpm)
    need_above_zero(days=days)
    return answer(run_h * MIN_PER_H * rate_gpm / days)


def flows_agree(one_gpd: float, other_gpd: float, within_share: float = FLOWS_AGREE_SHARE) -> bool:
    """Tell whether the flow by counter and the flow by meter agree.

    Parameters
    ----------
    one_gpd
        Flow by one way. [US gal/d]
    other_gpd
        Flow by the other way. [US gal/d]
    within_share
        Greatest difference as a share of the greater. [-]

    Returns
    -------
    bool
        False = one of counter, meter, dose or rate is wrong.

    Raises
    ------
    RangeError
        If a flow is negative.

    References
    ----------
    That both must be very similar: operation and maintenance manual in the archive of Marion
    County, Oregon. 10 %: common practice, no source.
    """
    need_zero_or_more(one_gpd=one_gpd, other_gpd=other_gpd)
    return abs(one_gpd - other_gpd) <= within_share * max(one_gpd, other_gpd)


def flow_use(flow_gpd: float, design_flow_gpd: float) -> FlowUse:
    """Return how an average flow stands against the design flow.

    Parameters
    ----------
    flow_gpd
        Average flow. [US gal/d]
    design_flow_gpd
        Design flow. [US gal/d]

    Returns
    -------
    FlowUse
        Usual to 70 %, high to 100 %, over above that; usual use is near half.

    Raises
    ------
    RangeError
        If the flow is negative or the design flow is not above zero.

    References
    ----------
    Limits: common practice, no source.
    """
    need_zero_or_more(flow_gpd=flow_gpd)
    need_above_zero(design_flow_gpd=design_flow_gpd)
    share = flow_gpd / design_flow_gpd
    return FlowUse.OVER if share > 1 else FlowUse.HIGH if share > HIGH_USE_SHARE else FlowUse.USUAL
