"""Branch and bound over a list of routes: two rows on the same route, or not.

Two rows (two visits, or a visit and a technician) that a mix of routes has partly on one route are
either on the same route or not; each way some routes go, and the linear program is solved
again over those that stay. See Ryan and Foster, "An integer programming approach to scheduling",
in: Computer Scheduling of Public Transport, 1981.
"""

from collections.abc import Callable
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import combinations, count

import numpy as np

from registry.solvers.bound.kinds import SCALE, BoundDay
from registry.solvers.bound.master import Master
from registry.solvers.bound.mixing import best_of
from registry.solvers.bound.pool import Pool, price_pool
from registry.solvers.bound.root import Watch, bound_of, pay_of
from registry.solvers.rows import Floats, Ints

type Tell = Callable[[str, int], None]

WHOLE = 1e-6
KIND_FIRST = 0.1
"""How much sooner to branch on who makes a visit than on two visits."""
UNDERPRICED = SCALE // 100
JOINING_ROUTES = 200
FEW_ROUTES = 250
"""Routes so few that the integer program is quicker than branching."""


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A part of the list, solved: ``alive`` routes may be in a cheaper plan, ``base`` its bound."""

    alive: Ints
    base: int
    shares: Floats | None


class Branching:
    """The search over parts of a list of routes; ``bound`` holds for all plans of the list.

    ``cost`` is that of the best plan known, ``found`` its routes in the pool, None if none here.
    """

    def __init__(
        self, day: BoundDay, pool: Pool, master: Master, cost: int, watch: Watch, tell: Tell
    ) -> None:
        self.day, self.pool, self.master, self.watch = day, pool, master, watch
        self.cost, self.tell = cost, tell
        self.found: Ints | None = None
        self.bound = 0
        rows = day.visits + len(day.kinds)
        self.uses = np.zeros((len(pool.kind), rows + 1), np.bool_)
        for place in range(pool.stops.shape[1]):
            self.uses[np.arange(len(pool.kind)), pool.stops[:, place]] = True
        self.uses = self.uses[:, :rows]  # the row behind them stood for no stop
        self.uses[np.arange(len(pool.kind)), day.visits + pool.kind] = True
        number_of = {
            (route.kind, route.stops): number
            for number, route in enumerate(pool.routes(np.arange(len(pool.kind))))
        }
        self.number_of = number_of
        self.columns = [number_of.get((one.kind, one.stops), -1) for one in master.routes]

    def run(self, bound: int) -> int:
        """Branch until no part can hold a cheaper plan or time is up; return the bound."""
        order = count()
        parts: list[tuple[int, int, Ints]] = [(bound, next(order), np.arange(len(self.pool.kind)))]
        while parts and self.watch.left_s() > 0:
            if parts[0][0] > bound:
                self.bound = bound = parts[0][0]
                self.tell("Closing in from below.", bound)
            least, _, alive = parts[0]
            if least > (self.cost - 1) * SCALE:
                break
            children = self.split(least, alive)
            if children is None:
                break
            heappop(parts)
            for child in children:
                heappush(parts, (least if child[0] < least else child[0], next(order), child[1]))
        if parts and parts[0][0] <= (self.cost - 1) * SCALE:
            return parts[0][0]
        return self.cost * SCALE

    def split(self, least: int, alive: Ints) -> list[tuple[int, Ints]] | None:
        """Solve a part; return the parts that it falls into, none if it is done with.

        None instead of a list if time ran out before anything was known.
        """
        solved = self.solve(alive)
        if solved is None:
            return None
        base = max(least, solved.base)
        if base > (self.cost - 1) * SCALE or len(solved.alive) == 0:
            return []
        if len(solved.alive) <= FEW_ROUTES:
            return self.finish(solved.alive)
        if solved.shares is None:
            return None
        pair = self.torn(solved.shares)
        if pair is None:
            return self.finish(solved.alive)
        a, b = self.uses[solved.alive, pair[0]], self.uses[solved.alive, pair[1]]
        return [(base, solved.alive[a == b]), (base, solved.alive[~(a & b)])]

    def finish(self, alive: Ints) -> list[tuple[int, Ints]] | None:
        """Find the best plan of a part by the integer program; None if time ran out."""
        answer = best_of(
            self.day, self.pool.only(alive), self.master.cuts, self.cost, self.watch.left_s(), 1
        )
        if answer.routes is not None:
            self.cost, self.found = answer.cost, alive[answer.routes]
            self.tell("Found a better plan.", self.bound)
        return [] if answer.least >= self.cost else None

    def solve(self, alive: Ints) -> Solved | None:
        """Solve the linear program over the routes of a part."""
        base, shares = 0, None
        while self.watch.left_s() > 0 and len(alive):
            allowed = np.zeros(len(self.pool.kind) + 1, np.bool_)
            allowed[alive] = True
            self.master.allow(allowed[self.columns])
            prices = self.master.solve(self.watch.left_s)
            if prices is None:
                return None
            pay = pay_of(self.day, prices)
            part = self.pool.only(alive)
            priced = price_pool(part, pay, self.master.cuts)
            least = np.zeros(len(self.day.kinds), np.int64)
            np.minimum.at(least, part.kind, priced)
            bound = bound_of(self.day, pay, least.tolist())
            over = priced - pay.of_kind[part.kind]
            if bound >= base:
                base = bound
                stay = priced - least[part.kind] <= (self.cost - 1) * SCALE - base
                alive, over = alive[stay], over[stay]
            if base > (self.cost - 1) * SCALE:
                break
            missing = np.flatnonzero(over < -UNDERPRICED)
            if len(missing) > JOINING_ROUTES:
                missing = missing[np.argpartition(over[missing], JOINING_ROUTES)[:JOINING_ROUTES]]
            before = len(self.master.routes)
            if self.master.add(self.pool.routes(alive[missing])) == 0:
                shares = prices.shares
                break
            joined = self.master.routes[before:]
            self.columns += [self.number_of[one.kind, one.stops] for one in joined]
        return Solved(alive, base, shares)

    def torn(self, shares: Floats) -> tuple[int, int] | None:
        """Return the two rows of which it is least clear whether one route has both."""
        together: dict[tuple[int, int], float] = {}
        for number in np.flatnonzero(shares > WHOLE):
            column = self.columns[number]
            if column < 0:
                continue
            rows = np.flatnonzero(self.uses[column]).tolist()
            if self.day.kinds[int(self.pool.kind[column])].many > 1:
                rows = rows[:-1]
            for pair in combinations(rows, 2):
                together[pair] = together.get(pair, 0.0) + float(shares[number])
        clearest, torn = WHOLE, None
        for pair, share in together.items():
            unclear = min(share, 1.0 - share) + (KIND_FIRST if pair[1] >= self.day.visits else 0.0)
            if min(share, 1.0 - share) > WHOLE and unclear > clearest:
                clearest, torn = unclear, pair
        return torn
