"""What a series of readings says: solids, squirt heights, monitoring wells against the season."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.ranges import need_above_zero, need_zero_or_more
from registry.hydraulics.trend import (
    DAYS_PER_YEAR,
    STUDENT_90,
    Forecast,
    Trend,
    forecast,
    trend,
)

SQUIRT_LOSS_SHARE = 0.20
"""Loss of squirt height since start-up at which laterals are purged and brushed. From memory of
guides of Rhode Island and Washington."""

WELL_READINGS = 6
"""Least readings, over more than a year, for a trend against the season: four unknowns and two to
judge by."""


@dataclass(frozen=True, slots=True)
class Solids:
    """Share of the depth taken by scum and sludge, its trend and when it reaches the limit."""

    newest_share: float
    per_year_share: float
    limit_share: float
    forecast: Forecast


@dataclass(frozen=True, slots=True)
class SquirtTrend:
    """Squirt height now against start-up; ``loss_share`` below zero = it rose."""

    loss_share: float
    per_year_in: float
    needs_brushing: bool
    line: Trend


@dataclass(frozen=True, slots=True)
class WellTrend:
    """Depth to water less its yearly swing.

    ``per_year_in`` below zero = the water rises; ``within_in`` is how far it may be off, 9 times in
    10; ``moves`` whether it is more than that.
    """

    per_year_in: float
    within_in: float
    swing_in: float
    shallowest_day: int
    moves: bool


def solids_trend(
    dates: Sequence[date], solids_share: Sequence[float], limit_share: float
) -> Solids:
    """Return the trend of scum and sludge since a pump-out and when it reaches a limit.

    Parameters
    ----------
    dates, solids_share
        Scum and sludge as a share of the liquid depth; the pump-out itself may stand first with 0.
    limit_share
        The rule set's limit: 0.25 in Minnesota, 1/3 in Wisconsin. [-]

    Returns
    -------
    Solids
        With the date, and the dates between which it falls 9 times in 10.

    Raises
    ------
    RangeError
        As for `trend`, or if a share is negative or the limit not above zero.

    References
    ----------
    Limits: Minn. R. 7080.2450 subp. 3; Wisconsin mound management plan, SPS 383.54. The straight
    line is common practice, no source; measured solids override any forecast.
    """
    need_zero_or_more(solids_share=np.array(solids_share, float))
    need_above_zero(limit_share=limit_share)
    line = trend(dates, solids_share)
    newest = max(zip(dates, solids_share, strict=True))
    reached = newest[1] >= limit_share
    ahead = Forecast(*[newest[0]] * 3) if reached else forecast(line, limit_share, newest[0])
    return Solids(newest[1], line.per_year, limit_share, ahead)


def squirt_trend(
    dates: Sequence[date],
    heights_in: Sequence[float],
    limit_share: float = SQUIRT_LOSS_SHARE,
) -> SquirtTrend:
    """Return how a lateral's squirt height moved since start-up.

    Parameters
    ----------
    dates, heights_in
        Heights of one lateral, the earliest at start-up, all with the same valves. [in]
    limit_share
        Loss at which the laterals are purged and brushed. [-]

    Returns
    -------
    SquirtTrend
        Loss against the earliest reading, and inches a year.

    Raises
    ------
    RangeError
        As for `trend`, or if a height is not above zero.

    References
    ----------
    20 %: from memory (`SQUIRT_LOSS_SHARE`).
    """
    need_above_zero(heights_in=np.array(heights_in, float))
    line = trend(dates, heights_in)
    by_date = sorted(zip(dates, heights_in, strict=True))
    loss = 1 - by_date[-1][1] / by_date[0][1]
    return SquirtTrend(loss, line.per_year, loss > limit_share, line)


def well_trend(dates: Sequence[date], depths_in: Sequence[float]) -> WellTrend:
    """Return the trend of a monitoring well's depth to water, its yearly swing taken out.

    A high water table in March is not a failed field, nor a dry port in August a healthy one.

    Parameters
    ----------
    dates, depths_in
        Depth from the top of the pipe to the water, six readings at least, over more than a year.
        [in]

    Returns
    -------
    WellTrend
        Inches a year beyond the season, and how sure that is.

    Raises
    ------
    RangeError
        If there are too few readings, too short a time, all in one season, or a depth is negative.

    References
    ----------
    Least squares of a line and one yearly wave, any text on time series. That water swings once a
    year is common practice, no source.
    """
    need_zero_or_more(depths_in=np.array(depths_in, float))
    if len(dates) != len(depths_in):
        raise RangeError(f"{len(dates)} dates and {len(depths_in)} readings: give one date each")
    if len(dates) < WELL_READINGS or (max(dates) - min(dates)).days <= DAYS_PER_YEAR:
        raise RangeError(
            f"a trend against the season needs {WELL_READINGS} readings over more than a year"
        )
    year = np.array([(one - min(dates)).days for one in dates]) / DAYS_PER_YEAR
    angle = 2 * np.pi * np.array([one.timetuple().tm_yday for one in dates]) / DAYS_PER_YEAR
    terms = np.column_stack([np.ones_like(year), year, np.cos(angle), np.sin(angle)])
    depths = np.array(depths_in, float)
    found, _, rank, _ = np.linalg.lstsq(terms, depths)
    if rank < terms.shape[1] or np.linalg.cond(terms) > 1e3:
        raise RangeError("all readings are from one season: read the well at other times of year")
    freedom = len(dates) - terms.shape[1]
    spread = math.sqrt(float(((depths - terms @ found) ** 2).sum()) / freedom)
    own = math.sqrt(float(np.linalg.inv(terms.T @ terms)[1, 1]))
    student = STUDENT_90[freedom - 1] if freedom <= len(STUDENT_90) else 1.645
    within = student * spread * own
    shallowest = (math.atan2(found[3], found[2]) + math.pi) % (2 * math.pi)
    return WellTrend(
        float(found[1]),
        within,
        2 * math.hypot(float(found[2]), float(found[3])),
        round(shallowest / (2 * math.pi) * DAYS_PER_YEAR) or 1,
        abs(float(found[1])) > within,
    )
