"""A straight line through readings, how sure it is, and when it reaches a limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.ranges import FloatArray, Numbers

STUDENT_90 = (
    6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812,
    1.796, 1.782, 1.771, 1.761, 1.753, 1.746, 1.740, 1.734, 1.729, 1.725,
    1.721, 1.717, 1.714, 1.711, 1.708, 1.706, 1.703, 1.701, 1.699, 1.697,
)  # fmt: skip
"""Student's t that 90 % lie within, for 1 to 30 degrees of freedom; 1.645 beyond. Any statistics
text."""

DAYS_PER_YEAR = 365.25
FURTHEST_DAYS = 40 * 365
"""No forecast goes further ahead than 40 years."""


@dataclass(frozen=True, slots=True)
class Trend:
    """A least-squares line: ``value`` on ``first_on``, ``per_year``, and its spread.

    ``spread`` is the standard deviation of the readings about the line, None for two readings,
    whose line goes through both and says nothing of its own worth.
    """

    first_on: date
    n: int
    value: float
    per_year: float
    spread: float | None
    mean_years: float
    square_years: float

    def at(self, on_date: date) -> float:
        """Return the line's value on a date."""
        return float(self._line(_years(on_date, self.first_on)))

    def band(self, on_date: date) -> tuple[float, float] | None:
        """Return between what a new reading lies 9 times in 10; None for two readings."""
        year = _years(on_date, self.first_on)
        half = self._half_width(year)
        middle = float(self._line(year))
        return None if half is None else (middle - float(half), middle + float(half))

    def _line(self, year: Numbers) -> Numbers:
        return self.value + self.per_year * year

    def _half_width(self, year: Numbers) -> Numbers | None:
        if self.spread is None:
            return None
        freedom = self.n - 2
        student = STUDENT_90[freedom - 1] if freedom <= len(STUDENT_90) else 1.645
        from_mean = (year - self.mean_years) ** 2 / self.square_years
        return student * self.spread * (1 + 1 / self.n + from_mean) ** 0.5


@dataclass(frozen=True, slots=True)
class Forecast:
    """When a trend reaches a limit: the line's date and the dates its band does; None = never.

    ``earliest`` and ``latest`` are both None for two readings; ``latest`` alone where the band does
    not reach the limit within 40 years.
    """

    reached_on: date | None
    earliest: date | None
    latest: date | None


def trend(dates: Sequence[date], values: Sequence[float]) -> Trend:
    """Return the straight line through readings.

    Parameters
    ----------
    dates, values
        Readings in any order, two at least, of two dates at least.

    Returns
    -------
    Trend
        The line with its spread.

    Raises
    ------
    RangeError
        If there are fewer than two dates, or not as many values, or a value is no number.

    References
    ----------
    Ordinary least squares and the prediction interval of a new reading, any statistics text; tested
    against SciPy. That solids and squirt heights go along a line is common practice, no source.
    """
    if len(dates) != len(values):
        raise RangeError(f"{len(dates)} dates and {len(values)} readings: give one date each")
    if len(set(dates)) < 2:
        raise RangeError("a trend needs readings of two dates at least")
    y = np.array(values, float)
    if not np.all(np.isfinite(y)):
        raise RangeError("a reading is not a number: leave it out")
    first = min(dates)
    x = np.array([_years(one, first) for one in dates])
    mean, square = float(x.mean()), float(((x - x.mean()) ** 2).sum())
    per_year = float(((x - mean) * (y - y.mean())).sum() / square)
    value = float(y.mean() - per_year * mean)
    left = y - value - per_year * x
    spread = float(np.sqrt((left**2).sum() / (len(y) - 2))) if len(y) > 2 else None
    return Trend(first, len(y), value, per_year, spread, mean, square)


def forecast(line: Trend, limit: float, from_date: date) -> Forecast:
    """Return when a trend reaches a limit, looking ahead from a date.

    Parameters
    ----------
    line
        The trend.
    limit
        In the readings' unit; reached from below by a rising, from above by a falling trend.
    from_date
        Where to start looking, usually the last reading.

    Returns
    -------
    Forecast
        Dates, at most 40 years ahead.
    """
    ahead = np.arange(FURTHEST_DAYS)
    year = _years(from_date, line.first_on) + ahead / DAYS_PER_YEAR
    sign = 1.0 if line.per_year >= 0 else -1.0
    middle = np.asarray(line._line(year)) * sign
    half = line._half_width(year)
    wide = np.zeros_like(middle) if half is None else np.asarray(half)

    def first_day(value: FloatArray) -> date | None:
        there = value >= limit * sign
        return from_date + timedelta(days=int(np.argmax(there))) if there.any() else None

    reached = first_day(middle) if line.per_year else None
    if half is None:
        return Forecast(reached, None, None)
    return Forecast(reached, first_day(middle + wide), first_day(middle - wide))


def _years(on_date: date, first: date) -> float:
    return (on_date - first).days / DAYS_PER_YEAR
