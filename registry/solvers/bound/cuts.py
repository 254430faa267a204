"""Subset-row cuts that a fractional mix of routes breaks.

A row is a visit, which is on one route at most, or a technician, who drives one route at most. A
weighted sum of rows, divided and rounded down, holds for every plan: of any three rows, at
most one route uses two; with weights 2, 1, 1, 1 at most one uses 3 in weight. See Jepsen,
Petersen, Spoorendonk and Pisinger, "Subset-row inequalities applied to the vehicle-routing problem
with time windows", Operations Research 56(2), 2008; Pecin, Pessoa, Poggi and Uchoa, "Improved
branch-cut-and-price for capacitated vehicle routing", Mathematical Programming Computation 9(1),
2017.
"""

from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple

import numpy as np

from registry.compiled import compiled
from registry.solvers.bound.kinds import BoundDay
from registry.solvers.bound.pricing import RouteFound
from registry.solvers.rows import Floats, Ints

LEAST_BREACH = 0.02
LEAST_SHARE = 1e-6
MOST_OF_ROW = 10
"""In how many of the cuts added together one row may be."""
MOST_ROWS = 110
"""Rows in fractional routes above which the cuts of four rows are not looked for."""
ROOM = 4000


class Cut(NamedTuple):
    """The sum of ``weights`` of the ``rows`` that a route uses, divided by ``divisor``, counts.

    Rows are visits, then kinds of technicians, by number.
    """

    rows: tuple[int, ...]
    weights: tuple[int, ...]
    divisor: int

    @property
    def limit(self) -> int:
        """What all routes of a plan may count together."""
        return sum(self.weights) // self.divisor

    def counts(self, used: Iterable[int]) -> int:
        """Return what a route counts that uses some rows."""
        of_row = dict(zip(self.rows, self.weights, strict=True))
        return sum(of_row.get(row, 0) for row in used) // self.divisor


@compiled
def triples(uses: Ints, shares: Floats, room: int) -> tuple[Ints, Floats]:
    """Return triples of rows of which the routes use too much, and by how much."""
    rows, routes = uses.shape
    found = np.zeros((room, 4), np.int64)
    by = np.zeros(room)
    count = 0
    for a in range(rows):
        for b in range(a + 1, rows):
            both = 0.0
            for r in range(routes):
                if uses[a, r] and uses[b, r]:
                    both += shares[r]
            for c in range(b + 1, rows):
                value = both
                for r in range(routes):
                    if uses[c, r] and uses[a, r] != uses[b, r]:
                        value += shares[r]
                if value > 1 + 0.02 and count < room:
                    found[count, :3] = (a, b, c)
                    by[count] = value - 1
                    count += 1
    return found[:count], by[:count]


@compiled
def fours(uses: Ints, shares: Floats, room: int) -> tuple[Ints, Floats]:
    """Return a row of weight 2 and three of weight 1 that break their cut, and by how much."""
    rows, routes = uses.shape
    found = np.zeros((room, 4), np.int64)
    by = np.zeros(room)
    count = 0
    rest = np.zeros(routes)
    for heavy in range(rows):
        for a in range(rows):
            if a == heavy:
                continue
            for b in range(a + 1, rows):
                if b == heavy:
                    continue
                value = 0.0
                for r in range(routes):
                    rest[r] = 0.0
                    light = uses[a, r] + uses[b, r]
                    if uses[heavy, r]:
                        if light:
                            value += shares[r]
                        else:
                            rest[r] = shares[r]
                    elif light == 2:
                        rest[r] = shares[r]
                if value < 0.4:
                    continue
                for c in range(b + 1, rows):
                    if c == heavy:
                        continue
                    total = value
                    for r in range(routes):
                        if uses[c, r]:
                            total += rest[r]
                    if total > 1 + 0.02 and count < room:
                        found[count] = (heavy, a, b, c)
                        by[count] = total - 1
                        count += 1
    return found[:count], by[:count]


def broken_cuts(
    day: BoundDay,
    routes: Sequence[RouteFound],
    shares: Floats,
    known: Collection[Cut],
    most: int,
) -> list[Cut]:
    """Return cuts that a mix of routes breaks, the worst first."""
    mixed = np.flatnonzero(shares > LEAST_SHARE)
    uses = np.zeros((day.visits + len(day.kinds), len(mixed)), np.int64)
    for column, number in enumerate(mixed):
        uses[list(routes[int(number)].stops), column] = 1
        if day.kinds[routes[int(number)].kind].many == 1:
            uses[day.visits + routes[int(number)].kind, column] = 1
    fractional = (uses * (shares[mixed] < 1 - LEAST_SHARE)).sum(axis=1) >= 2
    rows = np.flatnonzero(fractional)
    uses = np.ascontiguousarray(uses[rows])
    found = _chosen(rows, *triples(uses, shares[mixed], ROOM), (1, 1, 1), 2, known, most)
    if len(found) < most and len(rows) <= MOST_ROWS:
        weights = (2, 1, 1, 1)
        found += _chosen(
            rows, *fours(uses, shares[mixed], ROOM), weights, 3, known, most - len(found)
        )
    return found


def _chosen(
    rows: Ints,
    found: Ints,
    by: Floats,
    weights: tuple[int, ...],
    divisor: int,
    known: Collection[Cut],
    most: int,
) -> list[Cut]:
    """Return the worst of the cuts found, none of the rows in too many of them."""
    used: dict[int, int] = {}
    chosen: list[Cut] = []
    for at in np.argsort(-by, kind="stable"):
        members = tuple(int(rows[one]) for one in found[at, : len(weights)])
        cut = Cut(members, weights, divisor)
        if cut in known or any(used.get(row, 0) >= MOST_OF_ROW for row in members):
            continue
        for row in members:
            used[row] = used.get(row, 0) + 1
        chosen.append(cut)
        if len(chosen) >= most:
            break
    return chosen
