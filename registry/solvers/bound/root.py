"""Column generation: prices make routes, routes make prices, and every exact round makes a bound.

The bound of a round is Lagrange's: the sum of the prices, plus for each technician the least price
of a route. It holds for any prices, so that nothing rests on what the linear program says.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from registry.solvers.bound.kinds import SCALE, BoundDay
from registry.solvers.bound.labels import EXACT, ROUGH, Labels, Words
from registry.solvers.bound.master import Master, Prices
from registry.solvers.bound.pricing import Priced, price_routes
from registry.solvers.rows import Ints

SMOOTHING = 0.6
"""Share of the best prices known in those that are tried next; Wentges, International
Transactions in Operational Research 4(2), 1997."""
ROUTES_EACH = 30
FEW_NEW = 5
WORK_PER_S = 3e7
"""Steps of a labelling in a second, on a shared core."""
CLOSE_S = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Pay:
    """Whole prices: of visits, kinds and cuts, in ``1 / SCALE`` seconds."""

    of_visit: Ints
    of_kind: Ints
    of_cut: Ints

    def blend(self, other: "Pay", share: float) -> "Pay":
        """Return prices with a share of others; cuts are left as they are."""
        of_visit = share * other.of_visit + (1.0 - share) * self.of_visit
        of_kind = share * other.of_kind + (1.0 - share) * self.of_kind
        return Pay(
            np.rint(of_visit).astype(np.int64), np.rint(of_kind).astype(np.int64), self.of_cut
        )


def pay_of(day: BoundDay, prices: Prices) -> Pay:
    """Return the prices of a linear program as whole numbers; no visit pays above its worth."""

    def whole(some: np.ndarray) -> Ints:
        return np.rint(some * SCALE).astype(np.int64)

    of_visit = np.minimum(whole(prices.of_visit), day.worth * SCALE)
    return Pay(of_visit, whole(prices.of_kind), whole(prices.of_cut))


def bound_of(day: BoundDay, pay: Pay, least: Sequence[int]) -> int:
    """Return the bound that prices make with the least price of a route of each kind."""
    technicians = sum(
        kind.many * min(0, price) for kind, price in zip(day.kinds, least, strict=True)
    )
    return int(pay.of_visit.sum() + pay.of_cut.sum()) + technicians


@dataclass(slots=True, eq=False)
class Watch:
    """How much time is left."""

    clock: Callable[[], float]
    ends: float

    def left_s(self) -> float:
        """Return the seconds left."""
        return self.ends - self.clock()


@dataclass(slots=True, eq=False)
class Root:
    """The state of a column generation; ``bound`` is the best so far, ``pay`` made it."""

    day: BoundDay
    master: Master
    kept: Words
    room: Labels
    watch: Watch
    bound: int = 0
    pay: Pay | None = None
    finished: bool = False
    value: float = 0.0

    def price(self, pay: Pay, how: int) -> tuple[int, list[int], bool]:
        """Price routes of all kinds; return how many are new, the least prices, if all is known."""
        found: list[Priced] = []
        for number in range(len(self.day.kinds)):
            work = int(max(0.1, self.watch.left_s()) * WORK_PER_S)
            found.append(
                price_routes(
                    self.day,
                    number,
                    pay.of_visit,
                    self.kept,
                    self.room,
                    how,
                    int(pay.of_kind[number]),
                    ROUTES_EACH,
                    work,
                )
            )
            if self.watch.left_s() < 0:
                return 0, [], False
        new = sum(self.master.add(one.routes) for one in found)
        return new, [one.least for one in found], all(one.complete for one in found)

    def run(self, target: int) -> None:
        """Generate routes until prices and bound meet, or the bound a target, or time is up."""
        how, smoothing = ROUGH, SMOOTHING
        while self.watch.left_s() > 0:
            prices = self.master.solve(self.watch.left_s)
            if prices is None:
                return
            self.value = prices.value
            pay = pay_of(self.day, prices)
            if self.value * SCALE - self.bound < CLOSE_S * SCALE:
                self.finished = True
                return
            if self.pay is not None and how == EXACT:
                pay = pay.blend(self.pay, smoothing)
            new, least, complete = self.price(pay, how)
            if how == EXACT and least:
                bound = bound_of(self.day, pay, least)
                if self.pay is None or bound > self.bound:
                    self.bound, self.pay = bound, pay
                if self.bound > (target - 1) * SCALE:
                    self.finished = True
                    return
                if not complete:
                    return
            if how == ROUGH:
                how = ROUGH if new >= FEW_NEW else EXACT
            elif new > 0:
                smoothing = SMOOTHING
            elif smoothing > 0:
                smoothing = 0.0
            else:
                self.finished = True
                return


def neighbourhoods(day: BoundDay, size: int) -> Words:
    """Return for each visit the set of those near it, which a route remembers while it is there."""
    visits = day.visits
    travel = day.kinds[0].travel[:visits, :visits].astype(np.int64)
    near = np.argsort(travel + travel.T, axis=1, kind="stable")[:, :size]
    kept = np.zeros((visits, (visits + 63) // 64), np.uint64)
    for visit in range(visits):
        for other in {visit, *near[visit].tolist()}:
            kept[visit, other >> 6] |= np.uint64(1) << np.uint64(other & 63)
    return kept
