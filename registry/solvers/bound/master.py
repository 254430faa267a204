"""The linear program over the routes known so far: what a visit and a technician are worth.

Each visit is on one route or left out at its worth, each kind of technician drives as many routes
as there are of them, each cut holds. OR-Tools' GLOP solves it, starting from where it
ended before; where it fails, a fresh GLOP and then CLP are tried.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from ortools.linear_solver import pywraplp

from registry.solvers.bound.cuts import Cut
from registry.solvers.bound.kinds import BoundDay
from registry.solvers.bound.pricing import RouteFound
from registry.solvers.rows import Floats

type _Row = Any

LIBRARIES = ("GLOP", "CLP")
LONGEST_S = 1e6


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """What the program says: its value, prices of visits, kinds and cuts, and shares of routes.

    Prices of kinds and cuts are never above zero. In seconds.
    """

    value: float
    of_visit: Floats
    of_kind: Floats
    of_cut: Floats
    shares: Floats


class Master:
    """The program, which grows: routes and cuts are added and never taken out."""

    def __init__(self, day: BoundDay) -> None:
        self.day = day
        self.routes: list[RouteFound] = []
        self.cuts: list[Cut] = []
        self.known: set[tuple[int, tuple[int, ...]]] = set()
        self.allowed = np.ones(1000, np.bool_)
        self._begin("GLOP")

    def _begin(self, library: str) -> None:
        """Write the program afresh."""
        self.solver: Any = pywraplp.Solver.CreateSolver(library)
        endless = self.solver.infinity()
        self.visit_rows = [self.solver.Constraint(1.0, 1.0) for _ in range(self.day.visits)]
        self.kind_rows = [self.solver.Constraint(-endless, kind.many) for kind in self.day.kinds]
        self.cut_rows: list[Any] = []
        self.variables: list[Any] = []
        self.solver.Objective().SetMinimization()
        for row, worth in zip(self.visit_rows, self.day.worth, strict=True):
            left_out = self.solver.NumVar(0.0, endless, "")
            row.SetCoefficient(left_out, 1.0)
            self.solver.Objective().SetCoefficient(left_out, float(worth))
        for route in self.routes:
            self._write_route(route)
        for cut in self.cuts:
            self._write_cut(cut)

    def add(self, routes: Sequence[RouteFound]) -> int:
        """Add those routes that are not in the program yet; return how many."""
        new = [one for one in routes if (one.kind, one.stops) not in self.known]
        for route in new:
            self.known.add((route.kind, route.stops))
            self.routes.append(route)
            self._write_route(route)
        return len(new)

    def add_cut(self, cut: Cut) -> None:
        """Add a cut."""
        self.cuts.append(cut)
        self._write_cut(cut)

    def _write_route(self, route: RouteFound) -> None:
        endless = self.solver.infinity()
        number = len(self.variables)
        if number == len(self.allowed):
            self.allowed = np.append(self.allowed, np.ones(max(1000, number), np.bool_))
        variable = self.solver.NumVar(0.0, endless if self.allowed[number] else 0.0, "")
        self.variables.append(variable)
        self.solver.Objective().SetCoefficient(variable, float(route.cost_s))
        self.kind_rows[route.kind].SetCoefficient(variable, 1.0)
        for visit in set(route.stops):
            self.visit_rows[visit].SetCoefficient(variable, float(route.stops.count(visit)))
        for cut, row in zip(self.cuts, self.cut_rows, strict=False):
            self._meet(row, variable, cut, route)

    def _write_cut(self, cut: Cut) -> None:
        row = self.solver.Constraint(-self.solver.infinity(), float(cut.limit))
        self.cut_rows.append(row)
        for route, variable in zip(self.routes, self.variables, strict=True):
            self._meet(row, variable, cut, route)

    def _meet(self, row: _Row, variable: _Row, cut: Cut, route: RouteFound) -> None:
        """Write how much a cut counts a route."""
        counted = cut.counts([*route.stops, self.day.visits + route.kind])
        if counted:
            row.SetCoefficient(variable, float(counted))

    def allow(self, which: npt.NDArray[np.bool_]) -> None:
        """Let the program use some of its routes only."""
        for number in np.flatnonzero(which != self.allowed[: len(which)]):
            self.variables[number].SetUb(self.solver.infinity() if which[number] else 0.0)
        self.allowed[: len(which)] = which

    def solve(self, left_s: Callable[[], float]) -> Prices | None:
        """Solve the program in the seconds left; None if no library could."""
        if self._solved(left_s()):
            return self._prices()
        for library in LIBRARIES:
            if left_s() > 0:
                self._begin(library)
                if self._solved(left_s()):
                    return self._prices()
        return None

    def _solved(self, seconds: float) -> bool:
        self.solver.SetTimeLimit(max(1, int(min(seconds, LONGEST_S) * 1000)))
        return bool(self.solver.Solve() == pywraplp.Solver.OPTIMAL)

    def _prices(self) -> Prices:
        def duals(rows: Sequence[Any]) -> Floats:
            return np.array([row.dual_value() for row in rows], np.float64)

        shares = [variable.solution_value() for variable in self.variables]
        return Prices(
            value=self.solver.Objective().Value(),
            of_visit=duals(self.visit_rows),
            of_kind=np.minimum(duals(self.kind_rows), 0.0),
            of_cut=np.minimum(duals(self.cut_rows), 0.0),
            shares=np.array(shares, np.float64),
        )
