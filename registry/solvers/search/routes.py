"""Routes with the clocks, tanks and prices of every stop, so that one more is tested at once."""

from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from registry.compiled import compiled_lean
from registry.solvers.clocks import LATE, at_end, at_start, backward, forward, latest_arrival
from registry.solvers.rows import Ints, Rows, SmallInts
from registry.solvers.search.flat import Driver, FlatDay, Grid, Node, Tables


class StopRow(Protocol):
    """One stop on a route with its clocks.

    ``leg``: the drive from the stop before, or from the start. ``ready_before``/``ready_after``:
    earliest moments to leave it with lunch to come/behind, LATE where that cannot be.
    ``arrive_before``/``arrive_after``: latest arrivals that will do, EARLY where none will.
    ``used``: water taken since the last fill up to and with this stop; ``ahead``: water from this
    stop to the next fill; ``aboard``, ``coming``: septage likewise.
    """

    node: int
    leg: int
    ready_before: int
    ready_after: int
    arrive_before: int
    arrive_after: int
    used: float
    ahead: float
    aboard: float
    coming: float


class TourRow(Protocol):
    """What is summed up over one technician's route.

    ``home`` is the drive from the last stop to the end. ``busy`` is driving and service. ``over``
    is the price of overtime; ``price`` all that the route costs, driving included.
    """

    count: int
    load: int
    drive: int
    home: int
    busy: int
    over: int
    price: int


STOP = np.dtype(
    [
        ("node", np.int64),
        ("leg", np.int64),
        ("ready_before", np.int64),
        ("ready_after", np.int64),
        ("arrive_before", np.int64),
        ("arrive_after", np.int64),
        ("used", np.float64),
        ("ahead", np.float64),
        ("aboard", np.float64),
        ("coming", np.float64),
    ]
)
TOUR = np.dtype(
    [(name, np.int64) for name in ("count", "load", "drive", "home", "busy", "over", "price")]
)


class Routes(NamedTuple):
    """Routes of K technicians, at most L stops each: ``stops`` (K, L), ``tours`` (K,).

    ``where[i]`` is the technician of visit i, -1 = on no route.
    """

    stops: npt.NDArray[np.void]
    tours: npt.NDArray[np.void]
    where: Ints


def empty_routes(day: FlatDay, most_stops: int) -> Routes:
    """Return routes without stops."""
    crew = len(day.crew)
    return Routes(
        stops=np.zeros((crew, most_stops), STOP),
        tours=np.zeros(crew, TOUR),
        where=np.full(len(day.near), -1, np.int64),
    )


@compiled_lean
def overtime_price(who: Driver, before: int, after: int, leg: int) -> int:
    """Return the price of overtime if the last stop is left at the clocks; lunch may still come."""
    back = after + leg
    if before < LATE:
        if before + leg <= who.lunch_to:
            back = min(back, before + leg)
        if before <= who.lunch_to:
            back = min(back, max(before + leg, who.lunch_from) + who.lunch_len)
    return int(max(0, back - who.regular_to) * who.overtime_percent // 100) if back < LATE else 0


@compiled_lean
def uneven_price(who: Driver, busy: int) -> int:
    """Return the price of work beyond an even share."""
    return int(max(0, busy - who.even) * who.uneven_percent // 100)


@compiled_lean
def refresh(
    nodes: Rows[Node],
    windows: Ints,
    travel: Tables,
    crew: Rows[Driver],
    extra: Ints,
    visits: int,
    stops: Grid[StopRow],
    tours: Rows[TourRow],
    k: int,
) -> bool:
    """Work out one route's clocks, tanks, load and price anew; tell whether the route holds."""
    who = crew[k]
    legs = travel[who.table]
    holds = run_forward(nodes, windows, legs, who, extra, visits, stops, tours[k], k)
    return run_backward(nodes, windows, legs, who, visits, stops, tours[k].count, k) and holds


@compiled_lean
def run_forward(
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    who: Driver,
    extra: Ints,
    visits: int,
    stops: Grid[StopRow],
    tour: TourRow,
    k: int,
) -> bool:
    """Write what is known from the start on; tell whether tanks, load and driving hold."""
    before, after = at_start(who)
    here = who.start
    drive = service = load = price = 0
    used, aboard = who.used, who.aboard
    holds = True
    for p in range(tour.count):
        stop = stops[k, p]
        node = stop.node
        leg = travel[here, node]
        stop.leg = leg
        drive += leg
        service += nodes[node].service
        before, after = forward(who, nodes, windows, before, after, leg, node)
        stop.ready_before = before
        stop.ready_after = after
        if node < visits:
            load += nodes[node].demand
            price += extra[k, node]
            used += nodes[node].water
            aboard += nodes[node].septage
            holds = holds and used <= who.tank and aboard <= who.room
        elif nodes[node].empties:
            aboard = 0.0
        else:
            used = 0.0
        stop.used = used
        stop.aboard = aboard
        here = node
    tour.load = load
    tour.over = 0
    tour.home = travel[here, who.end] if tour.count > 0 else 0
    tour.drive = drive + tour.home
    tour.busy = tour.drive + service
    if who.priced and tour.count > 0:
        tour.over = overtime_price(who, before, after, travel[here, who.end])
        price += tour.over + uneven_price(who, tour.busy)
    tour.price = tour.drive + price
    return holds and load <= who.capacity and tour.drive <= who.most_drive


@compiled_lean
def run_backward(
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    who: Driver,
    visits: int,
    stops: Grid[StopRow],
    count: int,
    k: int,
) -> bool:
    """Write what is known from the end on; tell whether the hours hold."""
    before, after = at_end(who)
    following = who.end
    ahead = coming = 0.0
    for p in range(count - 1, -1, -1):
        stop = stops[k, p]
        node = stop.node
        leave_before, leave_after = backward(who, before, after, travel[node, following])
        before = latest_arrival(nodes, windows, node, leave_before - nodes[node].service)
        after = latest_arrival(nodes, windows, node, leave_after - nodes[node].service)
        stop.arrive_before = before
        stop.arrive_after = after
        if node < visits:
            ahead += nodes[node].water
            coming += nodes[node].septage
        elif nodes[node].empties:
            coming = 0.0
        else:
            ahead = 0.0
        stop.ahead = ahead
        stop.coming = coming
        following = node
    if count == 0:
        return True
    leave_before, leave_after = backward(who, before, after, travel[who.start, following])
    before, after = at_start(who)
    return before <= leave_before or after <= leave_after


@compiled_lean
def clocks_before(who: Driver, stops: Grid[StopRow], k: int, p: int) -> tuple[int, int, int]:
    """Return the node before gap p and both clocks when it is left."""
    if p == 0:
        before, after = at_start(who)
        return who.start, before, after
    stop = stops[k, p - 1]
    return stop.node, stop.ready_before, stop.ready_after


@compiled_lean
def clocks_behind(
    who: Driver, stops: Grid[StopRow], k: int, p: int, count: int
) -> tuple[int, int, int]:
    """Return the node behind gap p and the latest arrivals there."""
    if p == count:
        before, after = at_end(who)
        return who.end, before, after
    stop = stops[k, p]
    return stop.node, stop.arrive_before, stop.arrive_after
