"""Two clocks along a route: the earliest time with lunch to come, and with lunch behind.

Forward clocks say when a technician can leave each stop; backward ones the latest arrival from
which the rest of the route still holds. With both, one more stop is tested in constant time.
Earlier is never worse, hence two numbers say all about the time of a route that was begun.
"""

from registry.compiled import compiled_lean
from registry.solvers.rows import Driver, Ints, Node, Rows

LATE = (1 << 31) - 1
"""A moment too late for anything; fits in 32 bits."""
EARLY = -(1 << 40)


@compiled_lean
def earliest_start(nodes: Rows[Node], windows: Ints, node: int, arrival: int) -> int:
    """Return when service can start after an arrival, LATE if no window is left."""
    for w in range(nodes[node].windows_from, nodes[node].windows_to):
        if arrival <= windows[w, 1]:
            return int(max(arrival, windows[w, 0]))
    return LATE


@compiled_lean
def latest_arrival(nodes: Rows[Node], windows: Ints, node: int, start_by: int) -> int:
    """Return the latest arrival from which service starts by a moment, EARLY if none."""
    for w in range(nodes[node].windows_to - 1, nodes[node].windows_from - 1, -1):
        if windows[w, 0] <= start_by:
            return int(min(windows[w, 1], start_by))
    return EARLY


@compiled_lean
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


@compiled_lean
def backward(who: Driver, before: int, after: int, leg: int) -> tuple[int, int]:
    """Return the latest departures over a leg, given the latest arrivals at its end."""
    leave_after = after - leg if after > EARLY else EARLY
    leave_before = before - leg if before > EARLY else EARLY
    if who.has_lunch and after > EARLY and who.lunch_from + who.lunch_len <= after:
        leave_before = max(leave_before, min(who.lunch_to, after - who.lunch_len - leg))
    return leave_before, leave_after


@compiled_lean
def at_start(who: Driver) -> tuple[int, int]:
    """Return both clocks at the start of a shift."""
    if who.has_lunch:
        return who.shift_from, LATE
    return LATE, who.shift_from


@compiled_lean
def at_end(who: Driver) -> tuple[int, int]:
    """Return the latest arrivals at the end place."""
    if who.has_lunch:
        return min(who.shift_to, who.lunch_to), who.shift_to
    return EARLY, who.shift_to
