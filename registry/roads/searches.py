"""Searches over arcs between nodes, compiled: quickest ways, and the parts that hang together.

The arcs of node i are ``target[first[i]:first[i + 1]]``.
"""

from heapq import heappop, heappush

import numpy as np
import numpy.typing as npt

from registry.compiled import compiled

type Ints = npt.NDArray[np.int64]
type Floats = npt.NDArray[np.float64]


def first_arcs(nodes: int, source: Ints) -> Ints:
    """Return, of shape (nodes + 1,), where each node's arcs begin among arcs sorted by source."""
    return np.searchsorted(source, np.arange(nodes + 1))


@compiled
def quickest(
    first: Ints, target: Ints, weight: Floats, source: int, reached: Floats, before: Ints
) -> None:
    """Write the least summed weight from ``source`` to every node, infinite where no way leads.

    ``before`` gets the node before each one on its way, −1 for the source and where none leads.
    Dijkstra, "A note on two problems in connexion with graphs", Numerische Mathematik 1, 1959.
    """
    reached[:] = np.inf
    before[:] = -1
    reached[source] = 0.0
    waiting = [(0.0, source)]
    while len(waiting) > 0:
        so_far, node = heappop(waiting)
        if so_far > reached[node]:
            continue
        for arc in range(first[node], first[node + 1]):
            there, by_here = target[arc], so_far + weight[arc]
            if by_here < reached[there]:
                reached[there] = by_here
                before[there] = node
                heappush(waiting, (by_here, there))


@compiled
def strong_parts(first: Ints, target: Ints) -> Ints:
    """Return the number of each node's part; in a part each node can be reached from every other.

    Tarjan, "Depth-first search and linear graph algorithms", SIAM Journal on Computing 1(2), 1972,
    with a stack of its own in place of recursion.
    """
    nodes = len(first) - 1
    part = np.full(nodes, -1, np.int64)
    order = np.full(nodes, -1, np.int64)
    low = np.zeros(nodes, np.int64)
    next_arc = first[:-1].copy()
    open_nodes = np.zeros(nodes, np.int64)
    path = np.zeros(nodes, np.int64)
    counts = np.zeros(3, np.int64)
    for root in range(nodes):
        if order[root] < 0:
            _parts_from(root, first, target, part, order, low, next_arc, open_nodes, path, counts)
    return part


@compiled
def _parts_from(
    root: int,
    first: Ints,
    target: Ints,
    part: Ints,
    order: Ints,
    low: Ints,
    next_arc: Ints,
    open_nodes: Ints,
    path: Ints,
    counts: Ints,
) -> None:
    """Walk all that can be reached from a node; ``counts``: nodes found, nodes open, parts."""
    path[0], deep = root, 1
    while deep > 0:
        node = path[deep - 1]
        if order[node] < 0:
            order[node] = low[node] = counts[0]
            open_nodes[counts[1]] = node
            counts[0] += 1
            counts[1] += 1
        if next_arc[node] < first[node + 1]:
            there = target[next_arc[node]]
            next_arc[node] += 1
            if order[there] < 0:
                path[deep] = there
                deep += 1
            elif part[there] < 0:
                low[node] = min(low[node], order[there])
            continue
        deep -= 1
        if deep > 0:
            low[path[deep - 1]] = min(low[path[deep - 1]], low[node])
        if low[node] == order[node]:
            while part[node] < 0:
                counts[1] -= 1
                part[open_nodes[counts[1]]] = counts[2]
            counts[2] += 1
