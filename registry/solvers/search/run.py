"""One search on one day: the plan it stands at, the best one, the routes seen on the way."""

from collections.abc import Callable

import numpy as np

from registry.plan.problem import UNREACHABLE_S, Call, DayProblem, RouteCalls
from registry.solvers.budget import Budget
from registry.solvers.rows import Ints
from registry.solvers.search.annealing import Temper, anneal, cost_if_it_holds, note_if_holds
from registry.solvers.search.chance import chance_from
from registry.solvers.search.flat import FlatDay, flat_day
from registry.solvers.search.routes import Routes, empty_routes
from registry.solvers.search.seen import Seen, nothing_seen

STILL = Temper(1.0, 1.0, 0.0, 0.0, 0.0, 1, 0.0, 0)
"""Settings under which next to nothing is taken out and every visit that fits is put in."""
FIRST_CHUNK = 50
LONGEST_CHUNK = 20_000
ROOM_FOR_FILLS = 6


class Run:
    """A search that can be driven in stretches, cooled, warmed again and started from a plan.

    ``rounds`` counts all rounds made; ``cost`` is the best plan's, as the search prices it.
    """

    def __init__(self, problem: DayProblem, seed: int, most_seen: int) -> None:
        self.problem = problem
        self.day: FlatDay = flat_day(problem)
        room = most_stops(problem)
        self.routes: Routes = empty_routes(self.day, room)
        self.best: Routes = empty_routes(self.day, room)
        self.chance = chance_from(seed)
        self.seen: Seen = nothing_seen(self.day, most_seen)
        self.scale = drive_scale(self.day)
        self.rounds = 0
        self.cost = 0
        self.build()

    def build(self) -> None:
        """Make a first plan by putting every visit in greedily."""
        self._stretch(STILL._replace(reach_out=len(self.problem.visits)), 1)

    def _stretch(self, temper: Temper, rounds: int) -> None:
        _, cost = anneal(self.day, self.routes, self.best, temper, rounds, self.chance, self.seen)
        self.cost = int(cost)
        self.rounds += rounds

    def cool(
        self, temper: Temper, budget: Budget, upto: float, tell: Callable[[int], None]
    ) -> None:
        """Anneal from hot to cold until ``upto`` of the budget is used; ``tell`` better costs."""
        begin, first_round = budget.share, self.rounds
        span = upto - begin
        while span > 0 and budget.share < upto:
            now = min(1.0, (budget.share - begin) / span)
            known = self.cost
            if budget.rounds is not None:
                chunk = min(LONGEST_CHUNK, max(1, round(upto * budget.rounds) - budget.done))
                ahead = chunk / (span * budget.rounds)
            else:
                made = self.rounds - first_round
                per_round = now / made if made else 0.02 / FIRST_CHUNK
                slow_start = FIRST_CHUNK if made < 20 * FIRST_CHUNK else LONGEST_CHUNK
                chunk = int(min(slow_start, max(FIRST_CHUNK, 0.02 / max(per_round, 1e-9))))
                ahead = per_round * chunk
            self._stretch(temper._replace(share_from=now, share_to=min(1.0, now + ahead)), chunk)
            budget.done += chunk
            if self.cost < known:
                tell(self.cost)

    def go_back_to_best(self) -> None:
        """Stand at the best plan again."""
        for mine, theirs in zip(self.routes, self.best, strict=True):
            mine[...] = theirs

    def start_over(self) -> None:
        """Stand at a new greedy plan, keeping the best one."""
        self.routes.tours["count"] = 0
        self.routes.where[:] = -1
        self.build()

    def stand_at(self, plan: list[Ints]) -> None:
        """Stand at a plan, given as nodes per technician; if it is cheaper, it is the best one.

        A plan that does not hold is passed over.
        """
        if max(len(nodes) for nodes in plan) > self.routes.stops.shape[1]:
            return
        trial = empty_routes(self.day, self.routes.stops.shape[1])
        self._write(trial, plan)
        cost = cost_if_it_holds(self.day, trial)
        if cost < 0:
            return
        self._write(self.routes, plan)
        if cost < self.cost:
            self._write(self.best, plan)
            self.cost = int(cost)

    def _write(self, routes: Routes, plan: list[Ints]) -> None:
        """Write the nodes of a plan into routes."""
        routes.where[:] = -1
        for k, nodes in enumerate(plan):
            routes.stops["node"][k, : len(nodes)] = nodes
            routes.tours["count"][k] = len(nodes)
            routes.where[nodes[nodes < len(self.problem.visits)]] = k

    def note(self, technician: int, nodes: Ints) -> None:
        """Note a route that another search found, if it holds here."""
        if 0 < len(nodes) <= self.routes.stops.shape[1]:
            trial = empty_routes(self.day, self.routes.stops.shape[1])
            plan = [np.array([], np.int64) for _ in trial.tours]
            plan[technician] = nodes
            self._write(trial, plan)
            note_if_holds(self.day, trial, technician, self.seen)

    def best_nodes(self) -> list[Ints]:
        """Return the best plan as nodes per technician."""
        nodes, counts = self.best.stops["node"], self.best.tours["count"]
        return [nodes[k, :count].copy() for k, count in enumerate(counts)]

    def best_routes(self) -> tuple[RouteCalls, ...]:
        """Return the best plan."""
        return tuple(calls_of(self.problem, nodes) for nodes in self.best_nodes())


def calls_of(problem: DayProblem, nodes: Ints) -> RouteCalls:
    """Return nodes of the search as calls of the problem."""
    visits = len(problem.visits)
    return tuple(
        Call(int(node)) if node < visits else Call(int(node) - visits, is_fill=True)
        for node in nodes
    )


def nodes_of(problem: DayProblem, calls: RouteCalls) -> Ints:
    """Return calls of the problem as nodes of the search."""
    visits = len(problem.visits)
    return np.array([call.which + visits * call.is_fill for call in calls], np.int64)


def most_stops(problem: DayProblem) -> int:
    """Return more stops than any shift has room for."""
    shift = max(
        (who.shift_to_s + who.overtime_s - who.shift_from_s for who in problem.technicians),
        default=0,
    )
    shortest = min((visit.service_s for visit in problem.visits), default=0)
    return min(len(problem.visits), shift // max(shortest, 1) + 1) + ROOM_FOR_FILLS


def drive_scale(day: FlatDay) -> float:
    """Return the mean seconds between a visit and the nearer half of the others, at least 1."""
    visits = len(day.near)
    if visits < 2:
        return 1.0
    nearer = day.near[:, 1 : max(2, visits // 2)]
    drives = np.take_along_axis(day.travel[0, :visits, :visits], nearer, 1)
    reached = drives[drives < UNREACHABLE_S]
    return max(1.0, float(reached.mean())) if len(reached) else 1.0
