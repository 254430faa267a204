"""The hours of one day in which a series of stages stands at a stage or above it."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.flood.rising import StageSeries, series_of
from registry.records.rivers import Stage

type Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class WetHours:
    """Spans of a day in which water stands so high; ``known_until_s`` is where the series ends."""

    spans_s: tuple[Span, ...]
    known_until_s: float


def series_ahead(stages: Iterable[Stage]) -> StageSeries | None:
    """Return one gauge's readings and the forecast after the last of them, None without any.

    What was read goes before what was forecast for the same time.
    """
    known = sorted(stages, key=lambda one: one.at)
    read = [one for one in known if not one.is_forecast]
    ahead = [one for one in known if one.is_forecast and (not read or one.at > read[-1].at)]
    both = [*read, *ahead]
    if not both:
        return None
    return series_of([one.at.timestamp() for one in both], [one.stage_ft for one in both])


def wet_hours(series: StageSeries, stage_ft: float, day_s: Span) -> WetHours:
    """Return when on a day the water stands at a stage or above it.

    Where the series begins or ends during the day while the water is so high, the rest of the day
    counts as wet on that side: nobody knows that it is dry. A series that ends before the day says
    nothing of it.

    Parameters
    ----------
    series
        Stages in time.
    stage_ft
        The stage; minus infinity = at any stage. [ft]
    day_s
        When the day begins and ends, by the clock of the series. [s]
    """
    begins, ends = day_s
    first, last = float(series.at_s[0]), float(series.at_s[-1])
    if last <= begins or first >= ends:
        return WetHours((), last)
    found = []
    for rose, fell in series.spans_above(stage_ft):
        since = begins if rose == first else max(rose, begins)
        until = ends if fell == last else min(fell, ends)
        if since < until:
            found.append((since, until))
    return WetHours(tuple(found), last)
