"""The best mix of all routes seen: a linear program for prices, an integer program for the plan.

Set partitioning: each visit is on at most one route, each technician drives at most one. The
linear program is solved by OR-Tools' GLOP over a growing part of the pool, the integer program by
CP-SAT over the routes whose reduced cost lets them be part of a better plan.
"""

from dataclasses import dataclass

import numpy as np
from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

from registry.solvers.rows import Floats, Ints
from registry.solvers.search.flat import FlatDay
from registry.solvers.search.seen import Seen

FIRST_PER_ROW, JOINING_PER_ROW = 6, 3
"""Columns that the linear program starts with, and that join from one pass to the next."""
MOST_PASSES = 20
NEGATIVE_S = -2.0
"""A reduced cost that is worth another pass; the mix does not need prices to the second."""
PLAIN_SIMPLEX = "use_preprocessing: false"
"""So that each pass of the linear program goes on from the basis of the one before."""


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """The routes of a pool as columns of a program; n visits, C routes.

    Column c has the rows ``rows[begins[c]:begins[c + 1]]``: the visits that the route makes, then n
    + the kind of whose route it is, with the most that each row may be used in ``limits`` (n +
    kinds,). ``drive`` is a route's driving, ``saves`` its driving less the worth of its visits, in
    seconds.
    """

    begins: Ints
    rows: Ints
    drive: Floats
    saves: Floats
    limits: Floats
    worth: Floats

    def less(self, prices: Floats) -> Floats:
        """Return each route's driving less a price for each row that it uses, (C,)."""
        if len(self.rows) == 0:
            return self.drive
        return self.drive - np.add.reduceat(prices[self.rows], self.begins[:-1])

    def rows_of(self, column: int) -> list[int]:
        """Return the rows of one column."""
        some: list[int] = self.rows[self.begins[column] : self.begins[column + 1]].tolist()
        return some


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """What the linear program says, in seconds: a price per visit and per kind of technician.

    ``reduced`` is each route's driving less the prices of what it uses. ``value``
    is about what the routes of the pool can be mixed to at best; it says nothing about
    routes that are not in the pool.
    """

    value: float
    of_visit: Floats
    of_kind: Floats
    reduced: Floats


def columns_of(day: FlatDay, seen: Seen) -> Columns:
    """Return all routes of a pool as columns."""
    visits, size = len(day.near), int(seen.size[0])
    kind_of = np.asarray(day.crew)["kind"]
    kinds = int(kind_of.max()) + 1
    upto = seen.begins[: size + 1]
    nodes = seen.stops[: upto[-1]].astype(np.int64)
    column = np.repeat(np.arange(size), np.diff(upto))
    is_visit = nodes < visits
    rows = np.concatenate([nodes[is_visit], visits + seen.kind[:size]])
    order = np.argsort(np.concatenate([column[is_visit], np.arange(size)]), kind="stable")
    lengths = np.bincount(column[is_visit], minlength=size) + 1
    worth = np.asarray(day.nodes)["worth"][:visits].astype(np.float64)
    drive = seen.drive[:size].astype(np.float64)
    columns = Columns(
        begins=np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64),
        rows=rows[order],
        drive=drive,
        saves=np.empty(size),
        limits=np.concatenate([np.ones(visits), np.bincount(kind_of, minlength=kinds)]),
        worth=worth,
    )
    columns.saves[:] = columns.less(np.concatenate([worth, np.zeros(kinds)]))
    return columns


def seconds_for_prices(rows: int) -> float:
    """Return about how long the linear program takes; measured, on one shared core. [s]."""
    return 1e-5 * rows**2


class LinearProgram:
    """A linear program over some of the columns, which can be given more."""

    def __init__(self, columns: Columns) -> None:
        self._columns = columns
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        self._solver.SetSolverSpecificParametersAsString(PLAIN_SIMPLEX)
        self._most = self._solver.infinity()
        self._rows = [self._solver.Constraint(-self._most, one) for one in columns.limits.tolist()]
        self._saved = self._solver.Objective()
        self._saved.SetMinimization()

    def add(self, chosen: Ints) -> None:
        """Add columns that are not in yet."""
        gains = self._columns.saves[chosen].tolist()
        for column, saves in zip(chosen.tolist(), gains, strict=True):
            variable = self._solver.NumVar(0.0, self._most, "")
            self._saved.SetCoefficient(variable, saves)
            for row in self._columns.rows_of(column):
                self._rows[row].SetCoefficient(variable, 1.0)

    def solve(self) -> Prices | None:
        """Return the prices, None if the solver does not say that they are the best."""
        if self._solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        worth = self._columns.worth
        prices = np.array([row.dual_value() for row in self._rows])
        prices[: len(worth)] += worth
        return Prices(
            value=self._saved.Value() + float(worth.sum()),
            of_visit=prices[: len(worth)],
            of_kind=prices[len(worth) :],
            reduced=self._columns.less(prices),
        )


def prices_of(columns: Columns, guess: Floats) -> Prices | None:
    """Solve the linear program over a pool, nearly; None if the solver fails.

    ``guess`` are prices of an earlier pool (visits, then kinds), from which the first columns are
    chosen; columns with negative reduced cost join in some passes, until there is none.
    """
    rows = len(columns.limits)
    program = LinearProgram(columns)
    program.add(_cheapest(columns.less(guess), FIRST_PER_ROW * rows))
    prices = program.solve()
    for _ in range(MOST_PASSES):
        if prices is None:
            break
        joining = _cheapest(prices.reduced, JOINING_PER_ROW * rows, below=NEGATIVE_S)
        if len(joining) == 0:
            break
        program.add(joining)
        prices = program.solve() or prices
    return prices


def _cheapest(reduced: Floats, most: int, below: float = np.inf) -> Ints:
    """Return the numbers of the columns of least reduced cost, in rising order of number."""
    if len(reduced) > most:
        picked = np.argpartition(reduced, most)[:most]
    else:
        picked = np.arange(len(reduced))
    return np.sort(picked[reduced[picked] < below])


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How long the integer program may search: seconds on the clock, or CP-SAT's own measure.

    ``deterministic`` gives the same answer for the same question on every run.
    """

    seconds: float | None = None
    deterministic: float | None = None


def best_mix(
    columns: Columns, prices: Prices, cost: int, known: Ints, most: int, effort: Effort
) -> Ints | None:
    """Return the columns of a plan cheaper than ``cost``, None if none was found.

    ``known`` are columns of the plan that is known (they need not be all of it).
    """
    hopeful = np.flatnonzero(prices.reduced < cost - prices.value)
    if len(hopeful) > most:
        hopeful = hopeful[np.argsort(prices.reduced[hopeful], kind="stable")[:most]]
    hopeful = np.union1d(hopeful, known).astype(np.int64)
    if len(hopeful) == 0:
        return None
    model, taken = _mixing_model(columns, hopeful)
    saves = columns.saves[hopeful].astype(np.int64).tolist()
    total = int(columns.worth.sum())
    saved = cp_model.LinearExpr.weighted_sum(taken, saves)
    model.minimize(saved)
    model.add(saved <= cost - total)
    for variable, is_known in zip(taken, np.isin(hopeful, known), strict=True):
        model.add_hint(variable, bool(is_known))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.catch_sigint_signal = False  # what stops the search is the caller's matter
    if effort.seconds is not None:
        solver.parameters.max_time_in_seconds = effort.seconds
    if effort.deterministic is not None:
        solver.parameters.max_deterministic_time = effort.deterministic
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    if round(solver.objective_value) + total >= cost:
        return None
    return hopeful[[number for number, one in enumerate(taken) if solver.value(one)]]


def _mixing_model(columns: Columns, chosen: Ints) -> tuple[cp_model.CpModel, list[cp_model.IntVar]]:
    """Return the model that uses each visit once at most, and no technician twice."""
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in chosen]
    members: list[list[cp_model.IntVar]] = [[] for _ in columns.limits]
    for variable, column in zip(taken, chosen.tolist(), strict=True):
        for row in columns.rows_of(column):
            members[row].append(variable)
    for some, limit in zip(members, columns.limits, strict=True):
        if limit == 1:
            model.add_at_most_one(some)
        elif len(some) > limit:
            model.add(cp_model.LinearExpr.sum(some) <= int(limit))
    return model, taken
