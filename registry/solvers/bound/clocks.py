"""Two clocks along a route: the earliest time with lunch to come, and with lunch behind.

Earlier is never worse, hence two numbers say all about the time of a route that was begun.
"""

from typing import TYPE_CHECKING

from registry.compiled import compiled
from registry.plan.problem import UNREACHABLE_S

if TYPE_CHECKING:
    from registry.solvers.bound.rows import Driver, Ints, Node, Rows

LATE = (1 << 31) - 1
"""A moment too late for anything; fits in 32 bits."""
TOO_EARLY = -1


@compiled
def start_of(nodes: "Rows[Node]", windows: "Ints", node: int, arrival: int) -> int:
    """Return when service can start after an arrival, LATE if no window is left."""
    for window in range(nodes[node].windows_from, nodes[node].windows_to):
        if arrival <= windows[window, 1]:
            return int(max(arrival, windows[window, 0]))
    return LATE


@compiled
def at_start(who: "Driver") -> tuple[int, int]:
    """Return both clocks at the start of a shift."""
    if who.has_lunch:
        return who.shift_from, LATE
    return LATE, who.shift_from


@compiled
def leave(
    who: "Driver",
    nodes: "Rows[Node]",
    windows: "Ints",
    before: int,
    after: int,
    leg: int,
    node: int,
) -> tuple[int, int]:
    """Return both clocks when a stop is left, given both clocks when the one before was left."""
    service = nodes[node].service
    out_before = LATE
    out_after = LATE
    if before < LATE:
        start = start_of(nodes, windows, node, before + leg)
        if start < LATE:
            out_before = start + service
        if before <= who.lunch_to:
            fed = max(before + leg, who.lunch_from) + who.lunch_len
            start = start_of(nodes, windows, node, fed)
            if start < LATE:
                out_after = start + service
    if after < LATE:
        start = start_of(nodes, windows, node, after + leg)
        if start < LATE:
            out_after = min(out_after, start + service)
    return out_before, out_after


@compiled
def last_departures(who: "Driver", leg: int) -> tuple[int, int]:
    """Return the latest moments to leave for the end place, lunch to come and lunch behind."""
    if leg >= UNREACHABLE_S:
        return TOO_EARLY, TOO_EARLY
    after = who.shift_to - leg
    if not who.has_lunch:
        return TOO_EARLY, after
    before = min(who.shift_to, who.lunch_to) - leg
    if who.lunch_from + who.lunch_len <= who.shift_to:
        before = max(before, min(who.lunch_to, who.shift_to - who.lunch_len - leg))
    return before, after
