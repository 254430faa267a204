"""The best order of one route's visits, proven: a dynamic program over sets of visits.

For every set of visits made and every visit made last, all beginnings of a route are kept of which
none is better in everything: drive, both lunch clocks, water since the last fill, septage aboard.
A fill point may be called at between two visits, one of them and once. See Held and Karp, "A
dynamic programming approach to sequencing problems", Journal of SIAM 10(1), 1962.
"""

from dataclasses import dataclass

import numpy as np

from registry.plan.check import breaches
from registry.plan.driving import drive_of
from registry.plan.problem import ANYWHERE, WATER_SLACK_GAL, Call, DayProblem, RouteCalls
from registry.solvers.bound.kinds import NO_STOP, NODE, driver_row
from registry.solvers.bound.orders import NO_PARENT, best_beginning
from registry.solvers.rows import node_rows

MOST_VISITS = 12
MOST_BEGINNINGS = 300_000
FULL = 1e12


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """A route in the best order known; ``proven`` that no order of its visits is shorter."""

    calls: RouteCalls
    proven: bool


def best_order(problem: DayProblem, technician: int, calls: RouteCalls) -> Ordered:
    """Return the order of a route's visits with the shortest drive, and whether that is proven.

    The route that is given stays unless another is shorter. Orders of more than ``MOST_VISITS``
    visits are not looked for, nor where hours of work have a price, visits depend on each other or
    are made anywhere.
    """
    visits = [call.which for call in calls if not call.is_fill]
    if len(visits) < 2:
        return Ordered(calls=calls, proven=len(calls) < 2)
    if not _can_be_ordered(problem, technician, visits):
        return Ordered(calls=calls, proven=False)
    known_s, _ = drive_of(problem, technician, calls)
    found, complete = _search(problem, technician, visits, known_s)
    if found is None:
        return Ordered(calls=calls, proven=complete)
    alone = tuple(found if k == technician else () for k in range(len(problem.technicians)))
    required = {i for i, visit in enumerate(problem.visits) if visit.required} - set(visits)
    if len(breaches(problem, alone)) > len(required):
        return Ordered(calls=calls, proven=False)
    return Ordered(calls=found, proven=complete)


def best_orders(
    problem: DayProblem, routes: tuple[RouteCalls, ...]
) -> tuple[tuple[RouteCalls, ...], tuple[bool, ...]]:
    """Return routes each in the best order known, and of which that is proven."""
    ordered = [best_order(problem, k, calls) for k, calls in enumerate(routes)]
    return tuple(one.calls for one in ordered), tuple(one.proven for one in ordered)


def _can_be_ordered(problem: DayProblem, technician: int, visits: list[int]) -> bool:
    """Tell whether the drive and the limits that the program knows are all that counts."""
    who = problem.technicians[technician]
    linked = {visit for link in problem.links for visit in (link.first, link.then)}
    return (
        len(visits) <= MOST_VISITS
        and who.overtime_s == 0
        and who.even_s is None
        and not linked & set(visits)
        and all(problem.visits[visit].place != ANYWHERE for visit in visits)
    )


def _search(
    problem: DayProblem, technician: int, visits: list[int], known_s: int
) -> tuple[RouteCalls | None, bool]:
    """Return a shorter route, if there is one, and whether all orders were looked at."""
    who = problem.technicians[technician]
    stops = [problem.visits[visit] for visit in visits]
    fills = [] if who.tank_gal is None and who.room_gal is None else list(problem.fills)
    places = [*(one.place for one in stops), *(one.place for one in fills)]
    places += [who.start_place, who.end_place]
    calls = [(one.service_s, one.windows, one.demand) for one in stops]
    calls += [(one.service_s, (one.window or (0, who.shift_to_s),), 0) for one in fills]
    nodes, windows = node_rows([*calls, NO_STOP, NO_STOP], NODE)
    travel = problem.travel_of(technician).travel_s[np.ix_(places, places)].astype(np.int64)
    tanks = [FULL if gal is None else gal + WATER_SLACK_GAL for gal in (who.tank_gal, who.room_gal)]
    at, nodes_of, parents, complete = best_beginning(
        nodes,
        windows,
        np.ascontiguousarray(travel),
        driver_row(who, len(places) - 2, len(places) - 1),
        len(stops),
        np.array([one.water_gal for one in stops], np.float64),
        np.array([one.septage_gal for one in stops], np.float64),
        np.array([fill.empties for fill in fills], np.bool_),
        np.array([who.water_used_gal, who.septage_gal, *tanks], np.float64),
        min(known_s, driver_limit(who.most_drive_s) + 1),
        MOST_BEGINNINGS,
    )
    if at < 0:
        return None, bool(complete)
    found: list[Call] = []
    while parents[at] != NO_PARENT:
        for node in nodes_of[at]:
            if node >= len(stops):
                found.append(Call(int(node) - len(stops), is_fill=True))
            elif node >= 0:
                found.append(Call(visits[int(node)]))
        at = parents[at]
    return tuple(reversed(found)), bool(complete)


def driver_limit(most_drive_s: int | None) -> int:
    """Return the longest drive allowed, in seconds."""
    return 1 << 40 if most_drive_s is None else most_drive_s
