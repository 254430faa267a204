"""The gap closed over a list of routes: cuts raise the bound, dear routes go, integers decide.

The integer program looks at the routes of least reduced cost first. A plan with any other costs
at least the bound plus the reduced cost of the first that was not looked at, so that each of its
answers counts for the whole list.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from registry.solvers.bound.branching import Branching
from registry.solvers.bound.cuts import Cut, broken_cuts
from registry.solvers.bound.kinds import SCALE, BoundDay
from registry.solvers.bound.master import Master
from registry.solvers.bound.mixing import best_of
from registry.solvers.bound.pool import Pool, price_pool
from registry.solvers.bound.pricing import RouteFound
from registry.solvers.bound.root import Pay, Watch, bound_of, pay_of
from registry.solvers.rows import Ints

FIRST_ROUTES = 1500
JOINING_ROUTES = 300
CUTS_EACH = 40
MOST_CUTS = 600
STALL_SHARE = 0.004
"""Part of the gap that a round of cuts must close, or it was the last but one."""
MOST_STALLED = 3
UNDERPRICED = SCALE // 100
FIRST_MIX, FIRST_MIX_SHARE = 800, 0.08
"""How many routes the integer program looks at before branching, for which share of the time."""

type Tell = Callable[[str, int], None]


@dataclass(slots=True, eq=False)
class Closing:
    """What is known of a listed day; costs in seconds, bounds in ``1 / SCALE`` seconds.

    ``base`` is the bound that the linear program makes, ``reduced`` what a plan with a route of the
    pool costs above it, at least; ``bound`` is the best bound of all. ``better`` are the routes
    of a plan that is cheaper than the one known, None if none was found.
    """

    day: BoundDay
    pool: Pool
    watch: Watch
    cost: int
    base: int
    workers: int
    tell: Tell
    bound: int = 0
    better: list[RouteFound] | None = None
    reduced: Ints = field(default_factory=lambda: np.zeros(0, np.int64))

    @property
    def gap(self) -> int:
        """How much a cheaper plan may cost above the base, at most."""
        return (self.cost - 1) * SCALE - self.base

    @property
    def closed(self) -> bool:
        """Tell whether no cheaper plan can be among the routes, or time is up."""
        return self.gap < 0 or len(self.pool.kind) == 0 or self.watch.left_s() <= 0

    def run(self, pay: Pay) -> None:
        """Raise the bound until it meets the cost, or time is up."""
        master = Master(self.day)
        self.reduced = np.zeros(len(self.pool.kind), np.int64)
        self.look(Pay(pay.of_visit, pay.of_kind, np.zeros(0, np.int64)), master)
        cheapest = np.argsort(self.reduced, kind="stable")[:FIRST_ROUTES]
        master.add(self.pool.routes(cheapest))
        self.cut(master)
        self.bound = max(self.bound, self.base)
        if not self.closed:
            self.mix(FIRST_MIX, master.cuts)
        if not self.closed:
            self.branch(master)
        if self.gap < 0 or len(self.pool.kind) == 0:
            self.bound = self.cost * SCALE

    def branch(self, master: Master) -> None:
        """Look at part after part of the routes until none can hold a cheaper plan."""
        branching = Branching(self.day, self.pool, master, self.cost, self.watch, self.tell)
        self.bound = max(self.bound, branching.run(max(self.base, self.bound)))
        if branching.found is not None:
            self.cost, self.better = branching.cost, self.pool.routes(branching.found)
        if self.bound > (self.cost - 1) * SCALE:
            self.pool = self.pool.only(np.zeros(0, np.int64))

    def look(self, pay: Pay, master: Master) -> Ints:
        """Price the pool, take over a better bound; return by how much routes are underpriced."""
        prices = price_pool(self.pool, pay, master.cuts)
        least = np.zeros(len(self.day.kinds), np.int64)
        np.minimum.at(least, self.pool.kind, prices)
        base = bound_of(self.day, pay, least.tolist())
        over = prices - pay.of_kind[self.pool.kind]
        if base >= self.base:
            self.base, self.reduced = base, prices - least[self.pool.kind]
            over = over[self.forget()]
        return over

    def forget(self) -> np.ndarray:
        """Drop the routes that no cheaper plan has; return which stay."""
        stay: np.ndarray = self.reduced <= self.gap
        self.pool, self.reduced = self.pool.only(stay), self.reduced[stay]
        return stay

    def cut(self, master: Master) -> None:
        """Solve the linear program over the pool with more and more cuts, while that helps."""
        stalled = 0
        while not self.closed and stalled < MOST_STALLED:
            before = self.gap
            shares = self.solve(master)
            if shares is None:
                return
            cuts = broken_cuts(self.day, master.routes, shares, set(master.cuts), CUTS_EACH)
            if not cuts or len(master.cuts) + len(cuts) > MOST_CUTS:
                return
            for cut in cuts:
                master.add_cut(cut)
            stalled = stalled + 1 if before - self.gap < STALL_SHARE * before else 0
            self.tell("Closing in from below.", self.base)

    def solve(self, master: Master) -> np.ndarray | None:
        """Let routes of the pool join the program until none is missing; return its shares."""
        while not self.closed:
            prices = master.solve(self.watch.left_s)
            if prices is None:
                return None
            over = self.look(pay_of(self.day, prices), master)
            missing = np.flatnonzero(over < -UNDERPRICED)
            if len(missing) > JOINING_ROUTES:
                missing = missing[np.argpartition(over[missing], JOINING_ROUTES)[:JOINING_ROUTES]]
            if master.add(self.pool.routes(missing)) == 0:
                return prices.shares
        return None

    def mix(self, most: int, cuts: list[Cut]) -> None:
        """Find the best plan among the routes of least reduced cost; take over what it proves."""
        order = np.argsort(self.reduced, kind="stable")
        chosen = order[:most]
        beyond = self.cost * SCALE
        if most < len(order):
            beyond = min(beyond, self.base + int(self.reduced[order[most]]))
        answer = best_of(
            self.day,
            self.pool.only(chosen),
            cuts,
            self.cost,
            FIRST_MIX_SHARE * self.watch.left_s(),
            self.workers,
        )
        if answer.routes is not None:
            self.cost, self.better = answer.cost, self.pool.routes(chosen[answer.routes])
            self.tell("Found a better plan.", self.bound)
        self.bound = max(self.bound, min(answer.least * SCALE, beyond))
        self.forget()
        if self.bound > (self.cost - 1) * SCALE:
            self.pool = self.pool.only(np.zeros(0, np.int64))
        self.tell("Closing in from below.", self.bound)
