"""Every route that could be part of a cheaper plan: listed once, priced by looking at each.

If all routes are listed whose price lies below a limit, a plan with any other route costs
at least the bound plus that limit, and only listed ones need be looked at from there on. See
Baldacci, Christofides and Mingozzi, "An exact algorithm for the vehicle routing problem based on
the set partitioning formulation with additional cuts", Mathematical Programming 115(2), 2008.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from registry.compiled import compiled
from registry.solvers.bound.cuts import Cut
from registry.solvers.bound.kinds import SCALE, BoundDay
from registry.solvers.bound.labels import EVERY, LabelRow, Labels, Words, cheapest
from registry.solvers.bound.pricing import RouteFound, grown
from registry.solvers.bound.root import Pay
from registry.solvers.rows import Ints, Rows

type ShortInts = npt.NDArray[np.int16]

NO_STOP = -1


class Pool(NamedTuple):
    """Routes: ``stops`` (P, longest) in order, then ``NO_STOP``; ``kind`` (P,), ``cost_s`` (P,)."""

    stops: ShortInts
    kind: ShortInts
    cost_s: Ints

    def only(self, which: npt.NDArray[np.bool_] | Ints) -> "Pool":
        """Return some of the routes."""
        return Pool(self.stops[which], self.kind[which], self.cost_s[which])

    def routes(self, which: Ints) -> list[RouteFound]:
        """Return some of the routes one by one."""
        return [
            RouteFound(
                int(self.kind[one]),
                tuple(int(stop) for stop in self.stops[one] if stop != NO_STOP),
                int(self.cost_s[one]),
            )
            for one in which
        ]


def pool_of(routes: Sequence[RouteFound]) -> Pool:
    """Return some routes as a pool."""
    longest = max((len(route.stops) for route in routes), default=0)
    stops = np.full((len(routes), longest), NO_STOP, np.int16)
    for number, route in enumerate(routes):
        stops[number, : len(route.stops)] = route.stops
    return Pool(
        stops,
        np.array([route.kind for route in routes], np.int16),
        np.array([route.cost_s for route in routes], np.int64),
    )


@compiled
def stop_lists(rows: Rows[LabelRow], labels: Ints, longest: int) -> ShortInts:
    """Return the visits of the routes of labels, in order."""
    stops = np.full((len(labels), longest), np.int16(-1), np.int16)
    for number in range(len(labels)):
        length = 0
        at = labels[number]
        while rows[at].came_from != -1:
            length += 1
            at = rows[at].came_from
        at = labels[number]
        while rows[at].came_from != -1:
            length -= 1
            stops[number, length] = rows[at].node
            at = rows[at].came_from
    return stops


@compiled
def longest_of(rows: Rows[LabelRow], labels: Ints) -> int:
    """Return how many visits the longest route has."""
    longest = 0
    for label in labels:
        length = 0
        at = label
        while rows[at].came_from != -1:
            length += 1
            at = rows[at].came_from
        longest = max(longest, length)
    return longest


def list_routes(day: BoundDay, pay: Pay, gap: int, room: Labels, most_work: int) -> Pool | None:
    """Return all routes priced less than ``gap`` above what their technician is paid.

    Each set of visits of a kind of technicians is there once, in its best order. None if
    there are more than there is room or time for.
    """
    all_kept = np.full((day.visits, room.sets.shape[1]), np.iinfo(np.uint64).max, np.uint64)
    parts: list[Pool] = []
    for number, kind in enumerate(day.kinds):
        limit = int(pay.of_kind[number]) + gap
        found = grown(day, kind, pay.of_visit, all_kept, room, EVERY, limit, most_work)
        if not found.complete:
            return None
        labels = cheapest(room.rows, found.count, limit, found.count)
        labels = labels[_first_of_each(room.sets[labels], room.rows["total"][labels])]
        stops = stop_lists(room.rows, labels, longest_of(room.rows, labels))
        cost = (room.rows["total"][labels] + _paid(stops, pay.of_visit)) // SCALE
        parts.append(Pool(stops, np.full(len(labels), number, np.int16), cost))
    return _joined(parts)


def _first_of_each(sets: Words, totals: Ints) -> Ints:
    """Return the cheapest of those with the same set."""
    order = np.lexsort((totals, *sets.T))
    ordered = sets[order]
    is_first = np.ones(len(order), np.bool_)
    is_first[1:] = (ordered[1:] != ordered[:-1]).any(axis=1)
    return order[is_first]


def _paid(stops: ShortInts, of_visit: Ints) -> Ints:
    """Return what the visits of routes pay together."""
    if stops.shape[1] == 0:
        return np.zeros(len(stops), np.int64)
    return np.where(stops == NO_STOP, 0, of_visit[stops]).sum(axis=1)


def _joined(parts: Sequence[Pool]) -> Pool:
    """Return one pool of some."""
    longest = max((part.stops.shape[1] for part in parts), default=0)
    stops = [
        np.pad(one.stops, ((0, 0), (0, longest - one.stops.shape[1])), constant_values=NO_STOP)
        for one in parts
    ]
    return Pool(
        np.concatenate(stops),
        np.concatenate([part.kind for part in parts]),
        np.concatenate([part.cost_s for part in parts]),
    )


@compiled
def prices_of_stops(
    stops: ShortInts,
    kind: ShortInts,
    cost_s: Ints,
    of_visit: Ints,
    of_cut: Ints,
    divisors: Ints,
    begins: Ints,
    cuts: Ints,
    weights: Ints,
) -> Ints:
    """Return each route's cost less what its visits and the cuts pay.

    The cuts of row v are ``cuts[begins[v]:begins[v + 1]]``, with the ``weights`` of it in them.
    """
    prices = np.empty(len(stops), np.int64)
    weight = np.zeros(len(of_cut), np.int64)
    met = np.zeros(len(of_cut), np.int64)
    for route in range(len(stops)):
        price = cost_s[route] * SCALE
        for place in range(stops.shape[1] + 1):
            if place < stops.shape[1]:
                row = np.int64(stops[route, place])
                if row == NO_STOP:
                    continue
                price -= of_visit[row]
            else:
                row = len(of_visit) + np.int64(kind[route])
            for at in range(begins[row], begins[row + 1]):
                cut = cuts[at]
                if met[cut] != route + 1:
                    met[cut] = route + 1
                    weight[cut] = 0
                before = weight[cut]
                weight[cut] = before + weights[at]
                price -= of_cut[cut] * (weight[cut] // divisors[cut] - before // divisors[cut])
        prices[route] = price
    return prices


def price_pool(pool: Pool, pay: Pay, cuts: Sequence[Cut]) -> Ints:
    """Return the price of each route of a pool, in ``1 / SCALE`` seconds; see ``Priced``."""
    lists: list[list[tuple[int, int]]] = [[] for _ in range(len(pay.of_visit) + len(pay.of_kind))]
    for number in np.flatnonzero(pay.of_cut):
        for row, weight in zip(cuts[int(number)].rows, cuts[int(number)].weights, strict=True):
            lists[row].append((int(number), weight))
    begins = np.cumsum([0, *(len(some) for some in lists)]).astype(np.int64)
    flat = np.array([pair for some in lists for pair in some], np.int64).reshape(-1, 2)
    return prices_of_stops(
        pool.stops,
        pool.kind,
        pool.cost_s,
        pay.of_visit,
        pay.of_cut,
        np.array([cut.divisor for cut in cuts], np.int64),
        begins,
        np.ascontiguousarray(flat[:, 0]),
        np.ascontiguousarray(flat[:, 1]),
    )


def counts_of(pool: Pool, cut: Cut, visits: int) -> Ints:
    """Return how much a cut counts each route of a pool."""
    total = np.zeros(len(pool.kind), np.int64)
    for row, weight in zip(cut.rows, cut.weights, strict=True):
        if row < visits:
            total += weight * (pool.stops == row).any(axis=1)
        else:
            total += weight * (pool.kind == row - visits)
    return total // cut.divisor
