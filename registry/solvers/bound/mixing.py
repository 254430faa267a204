"""The best plan among listed routes, by CP-SAT, with what its answer proves."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
from ortools.sat.python import cp_model

from registry.solvers.bound.cuts import Cut
from registry.solvers.bound.kinds import BoundDay
from registry.solvers.bound.pool import Pool, counts_of
from registry.solvers.rows import Ints


@dataclass(frozen=True, slots=True, eq=False)
class Mixed:
    """The answer: ``routes`` and ``cost`` of a cheaper plan, None if there is none or time ran out.

    No plan of the listed routes costs less than ``least``.
    """

    routes: Ints | None
    cost: int
    least: int


def best_of(
    day: BoundDay,
    pool: Pool,
    cuts: Sequence[Cut],
    below: int,
    seconds: float,
    workers: int,
) -> Mixed:
    """Look for the cheapest plan of listed routes that costs less than ``below``, in seconds.

    ``cuts`` hold for any plan; the program would find out by itself, but more slowly.
    """
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in pool.kind]
    left_out = [model.new_bool_var("") for _ in day.worth]
    for visit, waits in enumerate(left_out):
        members = np.flatnonzero((pool.stops == visit).any(axis=1))
        model.add_exactly_one([waits, *(taken[one] for one in members)])
    for number, kind in enumerate(day.kinds):
        driven = [taken[one] for one in np.flatnonzero(pool.kind == number)]
        if kind.many == 1:
            model.add_at_most_one(driven)
        else:
            model.add(cp_model.LinearExpr.sum(driven) <= kind.many)
    for cut in cuts:
        if cut.limit == 1:
            met = counts_of(pool, cut, day.visits) >= 1
            model.add_at_most_one([taken[one] for one in np.flatnonzero(met)])
    costs = [*pool.cost_s.tolist(), *day.worth.tolist()]
    cost = cp_model.LinearExpr.weighted_sum([*taken, *left_out], costs)
    model.minimize(cost)
    model.add(cost < below)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_time_in_seconds = max(0.01, seconds)
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Mixed(None, below, below)
    least = ceil(solver.best_objective_bound - 1e-6) if status != cp_model.MODEL_INVALID else 0
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Mixed(None, below, min(least, below))
    routes = np.array([number for number, one in enumerate(taken) if solver.value(one)], np.int64)
    found = sum(
        costs[number] for number, one in enumerate([*taken, *left_out]) if solver.value(one)
    )
    return Mixed(routes, found, min(least, found))
