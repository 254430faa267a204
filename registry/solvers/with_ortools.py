"""OR-Tools' routing library as a solver of the port: it knows breaks, and is slow to converge.

Guided local search (Voudouris and Tsang, European Journal of Operational Research 113(2), 1999)
or iterated local search with random-walk ruins and annealing, with the settings that did best on
published instances.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Any

import numpy as np
from ortools.constraint_solver import pywrapcp, routing_enums_pb2

from registry.errors import PlanError
from registry.plan.clock import windows_of
from registry.plan.ports import ProgressLine, Stop
from registry.plan.problem import (
    DAY_S,
    UNREACHABLE_S,
    Call,
    DayProblem,
    RouteCalls,
    Solution,
    place_of,
)
from registry.solvers.beyond import refuse_beyond_plain
from registry.solvers.budget import Budget, Clock, wall_clock
from registry.solvers.mend import mended
from registry.solvers.nothing import nothing_to_order
from registry.units import L_PER_GAL

OFF, ON = 2, 3
"""How the library's settings spell no and yes."""
RUINED_VISITS = 20
SLOW_OPERATORS = (
    "lin_kernighan",
    "exchange_pair",
    "relocate_pair",
    "light_relocate_pair",
    "relocate_subtrip",
    "exchange_subtrip",
    "global_cheapest_insertion_path_lns",
    "local_cheapest_insertion_path_lns",
    "global_cheapest_insertion_visit_types_lns",
    "local_cheapest_insertion_visit_types_lns",
    "relocate_expensive_chain",
)
"""Left out of iterated local search, which does better with many quick descents."""
MOST_FILLS_EACH = 3
"""How often a fill point may be used on a day, in all."""
ML_PER_L = 1000
FAILURES_PER_ROUND = 100
"""Dead ends after which a search bounded by rounds gives up on finding one more plan."""


class Method(StrEnum):
    """The two searches of the routing library that are worth using."""

    GUIDED = "guided local search"
    ITERATED = "iterated local search with annealing"


@dataclass(frozen=True, slots=True, kw_only=True)
class OrToolsSolver:
    """OR-Tools' routing library; a round is one plan that its search stops at.

    Only guided local search can be bounded by rounds: the other one goes on for ever where it finds
    no better plan.
    """

    method: Method = Method.ITERATED
    clock: Clock = wall_clock

    def solve(
        self,
        problem: DayProblem,
        *,
        seconds: float | None = None,
        rounds: int | None = None,
        seed: int = 1,  # noqa: ARG002 - the port's; the library takes no seed
        progress: ProgressLine | None = None,
        stop: Stop | None = None,
    ) -> Solution:
        """Return the best routes found; see ``RouteSolver``. The library takes no seed.

        Raises
        ------
        PlanError
            If the library finds no plan, as where visits that must be made do not fit, or if
            iterated local search is given rounds.
        """
        budget = Budget(seconds, rounds, self.clock, stop)
        engine = f"OR-Tools, {self.method}"
        refuse_beyond_plain(problem, engine)
        if (empty := nothing_to_order(problem, engine)) is not None:
            return empty

        say = budget.teller(progress)

        def tell(cost: int) -> None:
            say("Found a better plan.", cost)

        if rounds is not None and self.method is Method.ITERATED:
            raise PlanError("OR-Tools' iterated local search takes seconds, not rounds.")
        model = RoutingModel(problem)
        found = model.search(self._settings(budget), budget, tell, self.method is Method.ITERATED)
        return Solution(
            routes=tuple(mended(problem, k, calls) for k, calls in enumerate(found)),
            engine=engine,
            rounds=budget.done,
            seconds=budget.elapsed,
        )

    def _settings(self, budget: Budget) -> Any:  # noqa: ANN401 - a message of the library
        """Return the library's settings for the method."""
        settings = pywrapcp.DefaultRoutingSearchParameters()
        strategies = routing_enums_pb2.FirstSolutionStrategy
        searches = routing_enums_pb2.LocalSearchMetaheuristic
        if budget.rounds is not None:
            settings.solution_limit = budget.rounds
        else:
            # The library reads the wall clock only; on another clock ``search`` ends it.
            share = 1 if self.clock is wall_clock else 4
            settings.time_limit.FromMilliseconds(max(1, int(budget.left() * 1000 * share)))
        settings.first_solution_strategy = strategies.PARALLEL_CHEAPEST_INSERTION
        if self.method is Method.GUIDED:
            settings.local_search_metaheuristic = searches.GUIDED_LOCAL_SEARCH
            return settings
        settings.first_solution_strategy = strategies.SAVINGS
        settings.local_search_metaheuristic = searches.GREEDY_DESCENT
        settings.use_iterated_local_search = True
        iterated = settings.iterated_local_search_parameters
        ruin = iterated.ruin_recreate_parameters.ruin_strategies.add()
        ruin.random_walk.num_removed_visits = RUINED_VISITS
        iterated.improve_perturbed_solution = True
        accept = iterated.reference_solution_acceptance_strategy
        accept.simulated_annealing.automatic_temperatures = True
        for operator in SLOW_OPERATORS:
            setattr(settings.local_search_operators, f"use_{operator}", OFF)
        return settings


class RoutingModel:
    """A day as a routing model: node 0 stands for no place, then visits, then fill stops."""

    def __init__(self, problem: DayProblem) -> None:
        self._problem = problem
        visits = len(problem.visits)
        self._calls = [Call(i) for i in range(visits)] + [
            Call(fill, is_fill=True)
            for fill in range(len(problem.fills))
            for _ in range(MOST_FILLS_EACH)
        ]
        places = [place_of(problem, call) for call in self._calls]
        crew = problem.technicians
        ends = sorted({place for who in crew for place in (who.start_place, who.end_place)})
        node_of = {place: len(places) + number for number, place in enumerate(ends)}
        places += ends
        self._manager = pywrapcp.RoutingIndexManager(
            len(places),
            len(crew),
            [node_of[who.start_place] for who in crew],
            [node_of[who.end_place] for who in crew],
        )
        self._routing = pywrapcp.RoutingModel(self._manager)
        drive = problem.travel_s[np.ix_(places, places)]
        service = np.array([self._service(number) for number in range(len(places))])
        self._service_s = service
        costs = self._routing.RegisterTransitMatrix(drive.tolist())
        self._routing.SetArcCostEvaluatorOfAllVehicles(costs)
        self._add_hours(drive + service[:, None])
        self._add_visits()
        self._add_loads(len(places))

    def search(
        self,
        settings: Any,  # noqa: ANN401
        budget: Budget,
        tell: Callable[[int], None],
        iterated: bool,
    ) -> tuple[RouteCalls, ...]:
        """Search until the budget is used; return routes that still have to be mended."""
        routing = self._routing
        best = 2**62

        def look() -> None:
            nonlocal best
            budget.done += 1
            cost = routing.CostVar().Max()
            if cost < best:
                best = cost
                tell(int(cost))
            if budget.share >= 1.0:
                routing.solver().FinishCurrentSearch()
                routing.CancelSearch()

        routing.AddAtSolutionCallback(look)
        if budget.rounds is not None:
            failures = budget.rounds * FAILURES_PER_ROUND
            routing.AddSearchMonitor(routing.solver().FailuresLimit(failures))
        run = routing.SolveWithIteratedLocalSearch if iterated else routing.SolveWithParameters
        answer = run(settings)
        if answer is None:
            raise PlanError("OR-Tools found no plan: visits that must be made do not fit.")
        return tuple(self._calls_of(answer, k) for k in range(len(self._problem.technicians)))

    def _calls_of(self, answer: Any, technician: int) -> RouteCalls:  # noqa: ANN401
        """Return one route of an answer."""
        calls = []
        index = answer.Value(self._routing.NextVar(self._routing.Start(technician)))
        while not self._routing.IsEnd(index):
            calls.append(self._calls[self._manager.IndexToNode(index)])
            index = answer.Value(self._routing.NextVar(index))
        return tuple(calls)

    def _service(self, node: int) -> int:
        """Return the service of a node; none where routes start and end. [s]."""
        if node >= len(self._calls):
            return 0
        call = self._calls[node]
        source = self._problem.fills if call.is_fill else self._problem.visits
        return source[call.which].service_s

    def _add_hours(self, transit: Any) -> None:  # noqa: ANN401
        """Add the clock: shifts, lunch as a break outside services, windows."""
        routing, manager = self._routing, self._manager
        horizon = max(DAY_S, *(who.shift_to_s for who in self._problem.technicians))
        transit = np.minimum(transit, UNREACHABLE_S)
        routing.AddDimension(
            routing.RegisterTransitMatrix(transit.tolist()),
            horizon,
            horizon,
            False,
            "time",
        )
        time = routing.GetDimensionOrDie("time")
        services = [
            int(self._service_s[manager.IndexToNode(index)]) for index in range(routing.Size())
        ]
        for k, who in enumerate(self._problem.technicians):
            time.CumulVar(routing.Start(k)).SetRange(who.shift_from_s, who.shift_to_s)
            time.CumulVar(routing.End(k)).SetRange(who.shift_from_s, who.shift_to_s)
            if who.lunch is not None:
                lunch = routing.solver().FixedDurationIntervalVar(
                    who.lunch.from_s,
                    who.lunch.to_s,
                    who.lunch.duration_s,
                    False,
                    f"lunch {k}",
                )
                time.SetBreakIntervalsOfVehicle([lunch], k, services)
        for node, call in enumerate(self._calls):
            start = time.CumulVar(manager.NodeToIndex(node))
            windows = windows_of(self._problem, call)
            if windows:
                start.SetRange(windows[0][0], min(windows[-1][1], horizon))
                for (_, closes), (opens, _) in pairwise(windows):
                    start.RemoveInterval(closes + 1, opens - 1)

    def _add_visits(self) -> None:
        """Say who may make a visit and what leaving it costs; fill stops are free to leave out."""
        routing, manager, problem = self._routing, self._manager, self._problem
        everybody = len(problem.technicians)
        for node, call in enumerate(self._calls):
            index = manager.NodeToIndex(node)
            if call.is_fill:
                routing.AddDisjunction([index], 0)
                continue
            visit = problem.visits[call.which]
            able = [k for k in range(everybody) if problem.may_make(k, call.which)]
            if len(able) < everybody:
                left_out = [] if visit.required else [-1]
                routing.VehicleVar(index).SetValues(left_out + able)
            if not visit.required:
                routing.AddDisjunction([index], visit.worth_s)

    def _add_loads(self, nodes: int) -> None:
        """Add room on the truck, and water that fill stops bring back."""
        routing, manager, problem = self._routing, self._manager, self._problem
        ends = nodes - len(self._calls)
        if any(who.capacity is not None for who in problem.technicians):
            demands = [0 if c.is_fill else problem.visits[c.which].demand for c in self._calls]
            routing.AddDimensionWithVehicleCapacity(
                routing.RegisterUnaryTransitVector(demands + [0] * ends),
                0,
                [2**40 if who.capacity is None else who.capacity for who in problem.technicians],
                True,
                "load",
            )
        if all(who.tank_gal is None for who in problem.technicians):
            return
        tanks = [
            2**40 if who.tank_gal is None else int(who.tank_gal * L_PER_GAL * ML_PER_L) + 1
            for who in problem.technicians
        ]
        largest = max(tank for tank in tanks if tank < 2**40)
        taken = [
            -largest
            if call.is_fill
            else int(problem.visits[call.which].water_gal * L_PER_GAL * ML_PER_L)
            for call in self._calls
        ]
        routing.AddDimensionWithVehicleCapacity(
            routing.RegisterUnaryTransitVector(taken + [0] * ends),
            largest,
            tanks,
            True,
            "water",
        )
        water = routing.GetDimensionOrDie("water")
        for node, call in enumerate(self._calls):
            if not call.is_fill:
                water.SlackVar(manager.NodeToIndex(node)).SetValue(0)
