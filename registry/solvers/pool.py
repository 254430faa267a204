"""The best mix of all routes seen: a linear program for prices, an integer program for the plan.

Set partitioning: each visit is on at most one route, each technician drives at most one. The
linear program is solved by HiGHS over a growing part of the pool, the integer program by CP-SAT
over the routes whose reduced cost lets them be part of a better plan.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from ortools.sat.python import cp_model
from scipy import optimize, sparse

from registry.solvers.search.flat import FlatDay, Floats, Ints
from registry.solvers.search.seen import Seen

FIRST_PER_ROW, JOINING_PER_ROW = 12, 6
"""Columns that the linear program starts with, and that join from one pass to the next."""
MOST_PASSES = 20
NEGATIVE_S = -2.0
"""A reduced cost that is worth another pass; the mix does not need prices to the second."""


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """The routes of a pool as columns of a program; n visits, C routes.

    ``covers`` (n + kinds, C) says which visits a route makes and whose route it is; ``drive`` is
    its driving, ``saves`` its driving less the worth of its visits, in seconds.
    """

    covers: sparse.csc_matrix
    drive: Floats
    saves: Floats
    limits: Floats
    worth: Floats


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
    begins = seen.begins[: size + 1]
    nodes = seen.stops[: begins[-1]].astype(np.int64)
    column = np.repeat(np.arange(size), np.diff(begins))
    is_visit = nodes < visits
    rows = np.concatenate([nodes[is_visit], visits + seen.kind[:size]])
    covers = sparse.csc_matrix(
        (np.ones(len(rows)), (rows, np.concatenate([column[is_visit], np.arange(size)]))),
        shape=(visits + kinds, size),
    )
    worth = np.asarray(day.nodes)["worth"][:visits].astype(np.float64)
    drive = seen.drive[:size].astype(np.float64)
    of_all = np.concatenate([worth, np.zeros(kinds)])
    return Columns(
        covers=covers,
        drive=drive,
        saves=drive - covers.T @ of_all,
        limits=np.concatenate([np.ones(visits), np.bincount(kind_of, minlength=kinds)]),
        worth=worth,
    )


def seconds_for_prices(rows: int) -> float:
    """Return about how long the linear program takes; measured, on one shared core. [s]."""
    return 1e-5 * rows**2


def prices_of(columns: Columns, guess: Floats) -> Prices | None:
    """Solve the linear program over a pool, nearly; None if the solver fails.

    ``guess`` are prices of an earlier pool (visits, then kinds), from which the first columns are
    chosen; columns with negative reduced cost join in some passes, until there is none.
    """
    visits, rows = len(columns.worth), len(columns.limits)
    reduced = columns.drive - columns.covers.T @ guess
    chosen = _cheapest(reduced, FIRST_PER_ROW * rows)
    prices = None
    for _ in range(MOST_PASSES):
        answer: Any = optimize.linprog(  # type: ignore[call-overload]  # stubs know no sparse A_ub
            columns.saves[chosen],
            A_ub=columns.covers[:, chosen],
            b_ub=columns.limits,
            bounds=(0, None),
            method="highs-ds",
        )
        if answer.status != 0:
            return None
        duals = answer.ineqlin.marginals.copy()
        duals[:visits] += columns.worth
        reduced = columns.drive - columns.covers.T @ duals
        value = float(answer.fun) + float(columns.worth.sum())
        prices = Prices(value, duals[:visits], duals[visits:], reduced)
        joining = _cheapest(reduced, JOINING_PER_ROW * rows, below=NEGATIVE_S)
        if len(joining) == 0:
            break
        chosen = np.union1d(chosen, joining)
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
    by_row = columns.covers[:, chosen].tocsr()
    for row, limit in enumerate(columns.limits):
        members = [taken[i] for i in by_row.indices[by_row.indptr[row] : by_row.indptr[row + 1]]]
        if limit == 1:
            model.add_at_most_one(members)
        elif len(members) > limit:
            model.add(cp_model.LinearExpr.sum(members) <= int(limit))
    return model, taken
