"""Days for tests on which roads are closed for hours."""

from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from registry.plan.open_hours import open_hours
from registry.plan.problem import UNREACHABLE_S, DayProblem, Period, Travel, Window
from registry.plan.road_hours import road_hours
from tests.days import HOUR, MIN, random_day, random_full_day

type Crossing = tuple[Collection[int], Sequence[Window], int | None]
"""Places beyond a road, the hours in which it is closed, and the detour then; None = no other."""


def with_crossings(problem: DayProblem, *crossings: Crossing) -> DayProblem:
    """The same day with roads that are closed for hours, each the way to some of the places."""
    spans = open_hours([hours for _, hours, _ in crossings])
    own = (Travel(problem.travel_s, problem.travel_m), *problem.more_tables)

    def under(closed: Collection[int]) -> tuple[Travel, ...]:
        return tuple(_closed(table, [crossings[i] for i in closed]) for table in own)

    closed_all = under(range(len(crossings)))
    periods = [
        Period(
            from_s=span.from_s,
            to_s=span.to_s,
            tables=under(span.closed),
            opens=tuple(f"road {i}" for i in sorted(span.opens)),
            closes=tuple(f"road {i}" for i in sorted(span.closes)),
        )
        for span in spans
    ]
    return replace(
        problem,
        travel_s=closed_all[0].travel_s,
        travel_m=closed_all[0].travel_m,
        more_tables=closed_all[1:],
        hours=road_hours(closed_all, periods),
    )


def _closed(table: Travel, crossings: Sequence[Crossing]) -> Travel:
    travel_s, travel_m = table.travel_s.copy(), table.travel_m.copy()
    for beyond, _, detour_s in crossings:
        inside = np.isin(np.arange(len(travel_s)), list(beyond))
        across = inside[:, None] != inside[None, :]
        if detour_s is None:
            travel_s[across] = travel_m[across] = UNREACHABLE_S
        else:
            travel_s[across] += detour_s
            travel_m[across] += 15 * detour_s
    return Travel(np.minimum(travel_s, UNREACHABLE_S), np.minimum(travel_m, UNREACHABLE_S))


def random_day_by_hour(seed: int, *, full: bool = False, visits: int = 4) -> DayProblem:
    """A small random day with one or two roads that are closed for hours, some without detour."""
    chance = np.random.default_rng([13, seed])
    day = random_full_day(seed) if full else random_day(seed, visits=visits)
    places = np.arange(2, len(day.travel_s))
    crossings: list[Crossing] = []
    for _ in range(int(chance.integers(1, 3))):
        beyond = chance.choice(places, int(chance.integers(1, 3)), replace=False).tolist()
        begins = int(chance.integers(7, 14)) * HOUR + int(chance.integers(0, 60)) * MIN
        ends = 24 * HOUR if chance.random() < 0.3 else begins + int(chance.integers(1, 6)) * HOUR
        detour_s = None if chance.random() < 0.5 else int(chance.integers(5, 60)) * MIN
        crossings.append((beyond, [(begins, min(ends, 24 * HOUR))], detour_s))
    return with_crossings(day, *crossings)
