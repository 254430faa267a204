"""Routes on roads that are closed for hours, made better move by move under the exact clock.

A few visits near each other are taken off and put back, one by one, where they cost the day least;
so are visits that wait. What is not dearer is kept. The search knows nothing but the clock, so
every route that it holds is one that can be driven.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from registry.plan.cost import route_cost
from registry.plan.fills import without_needless_fills
from registry.plan.problem import (
    ANYWHERE,
    UNREACHABLE_S,
    Call,
    DayProblem,
    Matrix64,
    RouteCalls,
    places_of,
)
from registry.plan.road_hours import open_table
from registry.plan.shortfall import short_s
from registry.plan.tanks import empty_at

GAPS = 4
"""Gaps tried for a visit on each route, those with the shortest way round at its best."""
MOST_OUT = 6
"""Visits taken off at a time."""
MOST_WAITING = 4
"""Visits that wait and are tried at a time."""
MUST_S = 100 * UNREACHABLE_S
"""Price of a visit that must be made and waits."""


@dataclass(slots=True, eq=False)
class Polish:
    """A plan that is made better; ``fixed`` visits stay on their routes."""

    problem: DayProblem
    routes: list[RouteCalls]
    fixed: Collection[int]
    chance: np.random.Generator
    _costs: list[int] = field(init=False)
    _best_s: list[Matrix64] = field(init=False)
    _known: dict[tuple[int, RouteCalls], int | None] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self._best_s = [
            open_table(self.problem, table) for table in range(1 + len(self.problem.more_tables))
        ]
        self._costs = [self._cost(k, calls) or 0 for k, calls in enumerate(self.routes)]

    def fill_up(self, is_over: Callable[[], bool]) -> None:
        """Put visits that wait where they cost least, those worth most first, until it is over."""
        for visit in sorted(self._waiting(), key=lambda one: -self._worth_s(one)):
            if is_over():
                break
            self._put([visit])

    def run(self, is_over: Callable[[], bool]) -> int:
        """Take off and put back until it is over; return how many times."""
        turns = 0
        while not is_over():
            self.turn()
            turns += 1
        return turns

    def turn(self) -> None:
        """Take a few visits off, put them back, and keep that if it is not dearer."""
        made = [one for one in self._made() if one not in self.fixed]
        waiting = self._waiting()
        if not made and not waiting:
            return
        before, costs = list(self.routes), list(self._costs)
        paid_s = sum(costs) + sum(map(self._worth_s, waiting))
        gone = self._near(int(self.chance.choice(made)), made) if made else []
        for k, calls in enumerate(self.routes):
            kept = tuple(one for one in calls if one.is_fill or one.which not in gone)
            if kept != calls:
                self._set(k, without_needless_fills(self.problem, k, kept))
        some = min(len(waiting), MOST_WAITING)
        tried = self.chance.choice(waiting, some, replace=False).tolist() if some else []
        order = [*gone, *tried]
        self.chance.shuffle(order)
        self._put(order)
        if sum(self._costs) + sum(map(self._worth_s, self._waiting())) > paid_s:
            self.routes, self._costs = before, costs

    def _put(self, visits: list[int]) -> None:
        for visit in visits:
            best: tuple[int, int, RouteCalls] | None = None
            for k, calls in enumerate(self.routes):
                if not self.problem.may_make(k, visit):
                    continue
                for new in self._options(k, calls, visit):
                    cost = self._cost(k, new)
                    if cost is not None and (best is None or cost - self._costs[k] < best[0]):
                        best = cost - self._costs[k], k, new
            if best is not None and best[0] <= self._worth_s(visit):
                self._set(best[1], best[2])

    def _options(self, k: int, calls: RouteCalls, visit: int) -> list[RouteCalls]:
        """Return the routes with one more visit, a fill or disposal stop added where one lacks."""
        place = self.problem.visits[visit].place
        gaps = list(range(len(calls) + 1))
        if place != ANYWHERE:
            travel_s = self._best_s[self.problem.technicians[k].table]
            stops = places_of(self.problem, k, calls)
            round_s = [
                int(travel_s[a, place] + travel_s[place, b] - travel_s[a, b])
                for a, b in pairwise(stops)
            ]
            gaps = sorted(gaps, key=lambda gap: round_s[gap])[:GAPS]
        found = []
        for gap in gaps:
            new = (*calls[:gap], Call(visit), *calls[gap:])
            lacking = empty_at(self.problem, k, new)
            if lacking is None:
                found.append(new)
                continue
            at, septage = lacking
            found += [
                (*new[:stop], Call(number, is_fill=True), *new[stop:])
                for number, fill in enumerate(self.problem.fills)
                if fill.empties == septage
                for stop in range(at + 1)
            ]
        return found

    def _near(self, visit: int, made: list[int]) -> list[int]:
        """Return a visit with some of those near it."""
        place = self.problem.visits[visit].place
        count = int(self.chance.integers(1, MOST_OUT + 1))
        travel_s = self._best_s[0]

        def away_s(other: int) -> int:
            return int(travel_s[place, self.problem.visits[other].place])

        return sorted(made, key=away_s)[:count]

    def _cost(self, k: int, calls: RouteCalls) -> int | None:
        """Return what a route costs, None if it does not hold."""
        key = (k, calls)
        if key not in self._known:
            holds = short_s(self.problem, k, calls) == 0
            self._known[key] = route_cost(self.problem, k, calls) if holds else None
        return self._known[key]

    def _set(self, k: int, calls: RouteCalls) -> None:
        self.routes[k] = calls if any(not one.is_fill for one in calls) else ()
        self._costs[k] = self._cost(k, self.routes[k]) or 0

    def _made(self) -> list[int]:
        return [one.which for calls in self.routes for one in calls if not one.is_fill]

    def _waiting(self) -> list[int]:
        """Return the visits on no route that somebody may make alone."""
        made = set(self._made())
        linked = {one for link in self.problem.links for one in (link.first, link.then)}
        return [
            i
            for i, one in enumerate(self.problem.visits)
            if i not in made and i not in linked and one.place != ANYWHERE
        ]

    def _worth_s(self, visit: int) -> int:
        what = self.problem.visits[visit]
        return what.worth_s + (MUST_S if what.required else 0)
