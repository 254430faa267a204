"""Two clocks along a route: the earliest time with lunch to come, and with lunch behind.

Forward clocks say when a technician can leave each stop; backward ones the latest arrival from
which the rest of the route still holds. With both, one more stop is tested in constant time.
"""

from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from registry.solvers.search.compiled import compiled
from registry.solvers.search.flat import Driver, FlatDay, Grid, Ints, Node, Rows, SmallInts, Tables

LATE = 1 << 40
EARLY = -(1 << 40)


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


@compiled
def earliest_start(nodes: Rows[Node], windows: Ints, node: int, arrival: int) -> int:
    """Return when service can start after an arrival, LATE if no window is left."""
    for w in range(nodes[node].windows_from, nodes[node].windows_to):
        if arrival <= windows[w, 1]:
            return int(max(arrival, windows[w, 0]))
    return LATE


@compiled
def latest_arrival(nodes: Rows[Node], windows: Ints, node: int, start_by: int) -> int:
    """Return the latest arrival from which service starts by a moment, EARLY if none."""
    for w in range(nodes[node].windows_to - 1, nodes[node].windows_from - 1, -1):
        if windows[w, 0] <= start_by:
            return int(min(windows[w, 1], start_by))
    return EARLY


@compiled
def forward(
    who: Driver, nodes: Rows[Node], windows: Ints, before: int, after: int, leg: int, node: int
) -> tuple[int, int]:
    """Return both clocks when a stop is left, given both clocks when the one before was left."""
    service = nodes[node].service
    out_before = LATE
    out_after = LATE
    if before < LATE:
        start = earliest_start(nodes, windows, node, before + leg)
        if start < LATE:
            out_before = start + service
        if before <= who.lunch_to:
            fed = max(before + leg, who.lunch_from) + who.lunch_len
            start = earliest_start(nodes, windows, node, fed)
            if start < LATE:
                out_after = start + service
    if after < LATE:
        start = earliest_start(nodes, windows, node, after + leg)
        out_after = min(out_after, start + service)
    return out_before, out_after


@compiled
def backward(who: Driver, before: int, after: int, leg: int) -> tuple[int, int]:
    """Return the latest departures over a leg, given the latest arrivals at its end."""
    leave_after = after - leg if after > EARLY else EARLY
    leave_before = before - leg if before > EARLY else EARLY
    if who.has_lunch and after > EARLY and who.lunch_from + who.lunch_len <= after:
        leave_before = max(leave_before, min(who.lunch_to, after - who.lunch_len - leg))
    return leave_before, leave_after


@compiled
def at_start(who: Driver) -> tuple[int, int]:
    """Return both clocks at the start of a shift."""
    if who.has_lunch:
        return who.shift_from, LATE
    return LATE, who.shift_from


@compiled
def at_end(who: Driver) -> tuple[int, int]:
    """Return the latest arrivals at the end place."""
    if who.has_lunch:
        return min(who.shift_to, who.lunch_to), who.shift_to
    return EARLY, who.shift_to


@compiled
def overtime_price(who: Driver, before: int, after: int, leg: int) -> int:
    """Return the price of overtime if the last stop is left at the clocks; lunch may still come."""
    back = after + leg
    if before < LATE:
        if before + leg <= who.lunch_to:
            back = min(back, before + leg)
        if before <= who.lunch_to:
            back = min(back, max(before + leg, who.lunch_from) + who.lunch_len)
    return int(max(0, back - who.regular_to) * who.overtime_percent // 100) if back < LATE else 0


@compiled
def uneven_price(who: Driver, busy: int) -> int:
    """Return the price of work beyond an even share."""
    return int(max(0, busy - who.even) * who.uneven_percent // 100)


@compiled
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


@compiled
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


@compiled
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


@compiled
def clocks_before(who: Driver, stops: Grid[StopRow], k: int, p: int) -> tuple[int, int, int]:
    """Return the node before gap p and both clocks when it is left."""
    if p == 0:
        before, after = at_start(who)
        return who.start, before, after
    stop = stops[k, p - 1]
    return stop.node, stop.ready_before, stop.ready_after


@compiled
def clocks_behind(
    who: Driver, stops: Grid[StopRow], k: int, p: int, count: int
) -> tuple[int, int, int]:
    """Return the node behind gap p and the latest arrivals there."""
    if p == count:
        before, after = at_end(who)
        return who.end, before, after
    stop = stops[k, p]
    return stop.node, stop.arrive_before, stop.arrive_after
