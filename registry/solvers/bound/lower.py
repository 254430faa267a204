"""How far a day's plan is from the best possible: a lower bound, and a better plan if one is met.

Column generation over relaxed routes makes a first bound in seconds; then all routes that a
cheaper plan can hold are listed, and cuts and an integer program over the list close the gap. Every
bound holds at the moment it is told, so that the time may end anywhere.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from registry.plan.bound import Bound
from registry.plan.check import breaches, totals_of
from registry.plan.ports import Progress, ProgressLine
from registry.plan.problem import Call, DayProblem, RouteCalls, Solution
from registry.solvers.bound.closing import Closing
from registry.solvers.bound.kinds import SCALE, BoundDay, bound_day
from registry.solvers.bound.master import Master
from registry.solvers.bound.mixing import best_of
from registry.solvers.bound.one_route import best_orders
from registry.solvers.bound.pool import Pool, list_routes, pool_of, price_pool
from registry.solvers.bound.pricing import RouteFound, room_for, route_found, too_fine
from registry.solvers.bound.root import WORK_PER_S, Root, Watch, neighbourhoods
from registry.solvers.bound.warm import make_ready

NEAR = 12
"""How many visits a route remembers around each; more make a better bound, and take longer."""
LABELS_AT_ONCE, LABELS_LISTED = 400_000, 6_500_000
LIST_SHARES = (1.0, 0.7, 0.5, 0.35, 0.2)
"""Parts of the gap for which a list of routes is tried, until it is short enough."""
LIST_TIME_SHARE = 0.5
MOST_MIXED, MIX_SHARE = 1500, 0.12
"""How many routes are mixed before any are listed, for which share of the time."""
MOST_FOR_LISTS = 128
"""Visits above which no list of routes is tried."""
ROUGH_WORDS = (
    f"With more than {MOST_FOR_LISTS} visits to choose from only a first bound is looked for, which"
    " lies some percent below the best possible: the plan may be closer to it than is proven."
)


@dataclass(frozen=True, slots=True)
class LowerBound:
    """The part that says how far a plan is from the best possible; see ``BoundFinder``."""

    clock: Callable[[], float]
    workers: int = 1

    def bound(
        self,
        problem: DayProblem,
        solution: Solution,
        *,
        seconds: float,
        progress: ProgressLine | None = None,
    ) -> Bound:
        """Return a bound of what any plan of a day costs."""
        return lower_bound(
            problem,
            plan_cost=totals_of(problem, solution.routes, solution.appointed).cost,
            routes=solution.routes,
            seconds=seconds,
            clock=self.clock,
            workers=self.workers,
            progress=progress,
        )


def lower_bound(
    problem: DayProblem,
    *,
    plan_cost: int,
    routes: tuple[RouteCalls, ...],
    seconds: float,
    clock: Callable[[], float],
    workers: int = 1,
    progress: ProgressLine | None = None,
) -> Bound:
    """Return a bound of what any plan of a day costs, and a cheaper plan if one was met.

    Parameters
    ----------
    problem
        The day.
    plan_cost
        What the known plan costs, in the day's unit.
    routes
        The known plan.
    seconds
        Time to look. [s]
    clock
        Tells the time that counts, in seconds.
    workers
        How many processors the integer program may use.
    progress
        Called with each sentence about how it goes.
    """
    if (why_not := _why_no_bound(problem, routes)) is not None:
        return Bound(value=None, cost=plan_cost, proven=False, text=why_not)
    make_ready()
    day = bound_day(problem, plan_cost)
    began = clock()

    def say(text: str, bound: int) -> None:
        if progress is not None:
            at_least = f"{text} No plan can cost less than {bound / SCALE:,.0f}."
            progress(Progress(text=at_least, seconds=clock() - began, rounds=0))

    if too_fine(day):
        text = "No useful bound was found: some visits take no time beside the length of the shift."
        return Bound(value=None, cost=plan_cost, proven=False, text=text)
    watch = Watch(clock, began + seconds)
    finder = _Finder(day, watch, plan_cost, workers, say)
    finder.run(_routes_found(day, routes))
    return _told(problem, plan_cost, routes, finder)


def _why_no_bound(problem: DayProblem, routes: tuple[RouteCalls, ...]) -> str | None:
    """Return why a plan has no bound, if it has none."""
    made = {call.which for calls in routes for call in calls if not call.is_fill}
    if any(visit.required and i not in made for i, visit in enumerate(problem.visits)):
        return "No useful bound was found: a visit that must be made is on no route."
    return None


@dataclass(slots=True, eq=False)
class _Finder:
    """The search for a bound; ``bound`` in ``1 / SCALE`` s, ``better`` a cheaper plan's routes."""

    day: BoundDay
    watch: Watch
    cost: int
    workers: int
    say: Callable[[str, int], None]
    bound: int = 0
    better: list[RouteFound] | None = None

    @property
    def closed(self) -> bool:
        """Tell whether nothing is left to find, or no time."""
        return self.bound > (self.cost - 1) * SCALE or self.watch.left_s() <= 0

    def run(self, known: list[RouteFound]) -> None:
        """Find a bound, from the routes of the known plan on."""
        if self.day.worth.sum() < self.cost:  # cheaper if nobody leaves; lists hold only routes
            self.cost, self.better = int(self.day.worth.sum()), []
        if not self.day.kinds or self.day.visits == 0:
            self.bound = self.cost * SCALE
            return
        master = Master(self.day)
        master.add(known)
        root = Root(
            self.day,
            master,
            neighbourhoods(self.day, NEAR),
            room_for(self.day, LABELS_AT_ONCE),
            self.watch,
        )
        root.run(self.cost)
        self.bound = root.bound
        self.say("A first bound stands.", self.bound)
        self.mix(root)
        while not self.closed and root.pay is not None and self.day.visits <= MOST_FOR_LISTS:
            cost = self.cost
            self.close(root)
            if self.cost == cost:
                return

    def mix(self, root: Root) -> None:
        """Look for a cheaper plan among the routes that the prices brought up."""
        if self.closed or root.pay is None:
            return
        pool = pool_of([one for one in root.master.routes if len({*one.stops}) == len(one.stops)])
        reduced = price_pool(pool, root.pay, []) - root.pay.of_kind[pool.kind]
        pool = pool.only(np.argsort(reduced, kind="stable")[:MOST_MIXED])
        seconds = MIX_SHARE * self.watch.left_s()
        answer = best_of(self.day, pool, [], self.cost, seconds, self.workers)
        if answer.routes is not None:
            self.cost, self.better = answer.cost, pool.routes(answer.routes)
            self.say("Found a better plan.", self.bound)

    def close(self, root: Root) -> None:
        """List the routes that a cheaper plan can hold, and close the gap over them."""
        listed = self.listed(root)
        if listed is None or root.pay is None:
            return
        pool, beyond = listed
        self.say(f"{len(pool.kind):,} routes could be part of a cheaper plan.", self.bound)

        def holds(bound: int) -> int:  # the list says nothing of plans that cost more than beyond
            return max(self.bound, min(bound, beyond))

        def say(text: str, bound: int) -> None:
            self.say(text, holds(bound))

        closing = Closing(self.day, pool, self.watch, self.cost, root.bound, self.workers, say)
        closing.run(root.pay)
        if closing.better is not None:
            self.cost, self.better = closing.cost, closing.better
        self.bound = holds(closing.bound)

    def listed(self, root: Root) -> tuple[Pool, int] | None:
        """Return the routes of a plan that costs less than some bound, and that bound."""
        gap = (self.cost - 1) * SCALE - root.bound + 1
        room = room_for(self.day, LABELS_LISTED)
        for share in LIST_SHARES:
            work = int(LIST_TIME_SHARE * self.watch.left_s() * WORK_PER_S / len(self.day.kinds))
            upto = int(gap * share)
            if root.pay is None or self.watch.left_s() <= 0:
                return None
            pool = list_routes(self.day, root.pay, upto, room, work)
            if pool is not None:
                beyond = self.cost * SCALE if share == 1.0 else root.bound + upto
                return pool, beyond
        return None


def _routes_found(day: BoundDay, routes: tuple[RouteCalls, ...]) -> list[RouteFound]:
    """Return the routes of a plan, without fills."""
    kind_of = {number: k for k, kind in enumerate(day.kinds) for number in kind.numbers}
    found = []
    for number, calls in enumerate(routes):
        stops = tuple(call.which for call in calls if not call.is_fill)
        if stops:
            kind = kind_of[number]
            found.append(route_found(day.kinds[kind], kind, stops))
    return found


def _told(
    problem: DayProblem, plan_cost: int, known: tuple[RouteCalls, ...], finder: _Finder
) -> Bound:
    """Return what was found, with a better plan only if the independent check passes it."""
    cost, best = plan_cost, known
    if finder.better is not None:
        cost, best = _cheaper(problem, _calls_of(problem, finder.day, finder.better), cost, best)
    ordered, in_best_order = best_orders(problem, best)
    if ordered != best:
        cost, best = _cheaper(problem, ordered, cost, best)
    routes = None if best == known else best
    orders = _orders_text(sum(map(bool, best)), in_best_order.count(False))
    if finder.bound <= 0 < cost:
        text = f"No useful bound was found in the time. {orders}"
        return Bound(value=None, cost=cost, proven=False, text=text, routes=routes)
    value = min(cost, -(-finder.bound // SCALE))
    proven = value >= cost
    text = _text(value, cost) if proven else f"{_text(value, cost)} {orders}"
    rough = ROUGH_WORDS if finder.day.visits > MOST_FOR_LISTS and not proven else ""
    return Bound(value=value, cost=cost, proven=proven, text=text, routes=routes, rough=rough)


def _cheaper(
    problem: DayProblem,
    routes: tuple[RouteCalls, ...],
    cost: int,
    known: tuple[RouteCalls, ...],
) -> tuple[int, tuple[RouteCalls, ...]]:
    """Return routes with their cost if they hold and cost less, else those that are known."""
    if breaches(problem, routes):
        return cost, known
    new_cost = totals_of(problem, routes).cost
    return (new_cost, routes) if new_cost < cost else (cost, known)


def _orders_text(routes: int, unproven: int) -> str:
    """Return whether every route is in its best order, in words."""
    if unproven == 0:
        return "Every route is proven to be in the best order for its visits."
    return f"Of {routes} routes {unproven} are not proven to be in the best order."


def _calls_of(
    problem: DayProblem, day: BoundDay, found: list[RouteFound]
) -> tuple[RouteCalls, ...]:
    """Return routes technician by technician."""
    calls: list[RouteCalls] = [()] * len(problem.technicians)
    free = [list(kind.numbers) for kind in day.kinds]
    for route in found:
        calls[free[route.kind].pop(0)] = tuple(Call(stop) for stop in route.stops)
    return tuple(calls)


def _text(value: int, cost: int) -> str:
    """Return what is proven, in words."""
    if value >= cost:
        return "The plan is proven the best possible."
    return f"The plan is at most {_percent(value, cost)} above the best possible."


def _percent(value: int, cost: int) -> str:
    """Return how far a cost lies above a bound; rounded up, since it is a promise."""
    tenths = -(-1000 * (cost - value) // value)
    return f"{tenths // 10}.{tenths % 10} %"
