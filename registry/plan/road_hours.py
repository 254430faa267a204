"""Roads that are closed for hours: how a leg is driven by who may set off from a moment on.

A leg has several ways: the one that holds at any hour, and for each period with fewer closed roads
another one, which must be driven whole within the period. Whoever is free sooner has every way that
is open to who is free later, since one may wait where one is until a road opens: sooner is never
worse.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from registry.plan.problem import (
    UNREACHABLE_S,
    DayProblem,
    Lunch,
    Matrix64,
    Period,
    RoadHours,
    Travel,
)

NEVER_S = 2**40
"""No moment of any day."""


class Way(NamedTuple):
    """A way to drive a leg, begun and ended between two moments; see ``Period``."""

    from_s: int
    to_s: int
    drive_s: int
    drive_m: int
    opens: tuple[str, ...] = ()
    closes: tuple[str, ...] = ()


class Drive(NamedTuple):
    """A leg as it is driven, from ``sets_off_s`` until work can start at its end, ``ready_s``.

    ``lunch_s`` is when lunch on the leg begins, None = no lunch; ``share`` how much was driven by
    then.
    """

    sets_off_s: int
    ready_s: int
    way: Way
    lunch_s: int | None = None
    share: float = 1.0


def road_hours(tables: Sequence[Travel], periods: Sequence[Period]) -> RoadHours | None:
    """Return how the roads of a day depend on the hour; None where no drive does.

    A drive that would take longer with fewer roads closed, by the rounding of an engine, is taken
    from the day's own tables.
    """
    kept = []
    varies = [np.zeros(table.travel_s.shape, bool) for table in tables]
    for period in periods:
        shorter = [
            more.travel_s < own.travel_s for own, more in zip(tables, period.tables, strict=True)
        ]
        if not any(one.any() for one in shorter):
            continue
        kept.append(
            Period(
                from_s=period.from_s,
                to_s=period.to_s,
                tables=tuple(
                    Travel(*(np.where(where, new, old) for new, old in zip(more, own, strict=True)))
                    for where, own, more in zip(shorter, tables, period.tables, strict=True)
                ),
                opens=period.opens,
                closes=period.closes,
            )
        )
        varies = [known | where for known, where in zip(varies, shorter, strict=True)]
    return RoadHours(tuple(kept), tuple(varies)) if kept else None


def ways_of(problem: DayProblem, table: int, here: int, there: int) -> tuple[Way, ...]:
    """Return the ways of a leg whose drive depends on the hour, nothing for any other leg."""
    if problem.hours is None or not problem.hours.varies[table][here, there]:
        return ()
    own = problem.more_tables[table - 1] if table else Travel(problem.travel_s, problem.travel_m)
    always_s = int(own.travel_s[here, there])
    ways = []
    if always_s < UNREACHABLE_S:
        ways.append(Way(-NEVER_S, NEVER_S, always_s, int(own.travel_m[here, there])))
    for period in problem.hours.periods:
        travel_s, travel_m = period.tables[table]
        if travel_s[here, there] < always_s:
            ways.append(
                Way(
                    period.from_s,
                    period.to_s,
                    int(travel_s[here, there]),
                    int(travel_m[here, there]),
                    period.opens,
                    period.closes,
                )
            )
    return tuple(ways)


def arrival_s(ways: Sequence[Way], now_s: int) -> int | None:
    """Return the first moment at which a leg can be behind; None = it cannot any more."""
    arrivals = [
        arrives_s
        for from_s, to_s, drive_s, *_ in ways
        if (arrives_s := max(now_s, from_s) + drive_s) <= to_s
    ]
    return min(arrivals, default=None)


def fed_s(ways: Sequence[Way], now_s: int, lunch: Lunch) -> int | None:
    """Return the first moment at which a leg and lunch on it can be behind; None = they cannot."""
    return min((drive.ready_s for drive in drives(ways, now_s, lunch)), default=None)


def drives(ways: Sequence[Way], now_s: int, lunch: Lunch | None) -> Iterator[Drive]:
    """Yield how a leg can be driven from a moment on, with lunch on it if one is given.

    Lunch is taken before leaving, after arriving, or on the way; then the road must stay open for
    drive and lunch together, since nobody can tell on which side of it lunch is.
    """
    for way in ways:
        sets_off_s = max(now_s, way.from_s)
        arrives_s = sets_off_s + way.drive_s
        if lunch is None:
            if arrives_s <= way.to_s:
                yield Drive(sets_off_s, arrives_s, way)
            continue
        if arrives_s <= min(way.to_s, lunch.to_s):
            eats_s = max(arrives_s, lunch.from_s)
            yield Drive(sets_off_s, eats_s + lunch.duration_s, way, eats_s)
        eats_s = max(now_s, lunch.from_s)
        fed_off_s = max(eats_s + lunch.duration_s, way.from_s)
        if eats_s <= lunch.to_s and fed_off_s + way.drive_s <= way.to_s:
            yield Drive(fed_off_s, fed_off_s + way.drive_s, way, eats_s, 0.0)
        if sets_off_s < lunch.from_s < arrives_s and arrives_s + lunch.duration_s <= way.to_s:
            share = (lunch.from_s - sets_off_s) / way.drive_s
            yield Drive(sets_off_s, arrives_s + lunch.duration_s, way, lunch.from_s, share)


def last_departure_s(ways: Sequence[Way]) -> int:
    """Return the last moment at which a leg can be begun on any way."""
    return max(way.to_s - way.drive_s for way in ways)


def least_s(problem: DayProblem, table: int, here: int, there: int) -> int:
    """Return the least seconds that a drive takes at any hour; ``UNREACHABLE_S`` = no road."""
    ways = ways_of(problem, table, here, there)
    if ways:
        return min(way.drive_s for way in ways)
    own = problem.more_tables[table - 1].travel_s if table else problem.travel_s
    return int(own[here, there])


def open_table(problem: DayProblem, table: int) -> Matrix64:
    """Return the least seconds that each drive takes at any hour, (n, n)."""
    own = problem.more_tables[table - 1].travel_s if table else problem.travel_s
    for period in problem.hours.periods if problem.hours is not None else ():
        own = np.minimum(own, period.tables[table].travel_s)
    return own


def at_any_hour(problem: DayProblem) -> DayProblem:
    """Return a day that keeps off every road that is closed at some hour; its plans hold."""
    return replace(problem, hours=None)


def as_if_open(problem: DayProblem) -> DayProblem:
    """Return a day on which each drive takes what it takes at its best hour.

    No plan of it costs more than the same plan of the day itself; it need not hold there.
    """
    best = [open_table(problem, table) for table in range(1 + len(problem.more_tables))]
    return replace(
        problem,
        travel_s=best[0],
        more_tables=tuple(
            old._replace(travel_s=new)
            for old, new in zip(problem.more_tables, best[1:], strict=True)
        ),
        hours=None,
    )
