"""Every promising route that the search came across, each set of visits once, at its cheapest."""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from registry.compiled import compiled_lean
from registry.solvers.rows import Floats, Ints, Rows
from registry.solvers.search.flat import Driver, FlatDay, Grid
from registry.solvers.search.routes import StopRow, TourRow

type Keys = npt.NDArray[np.uint64]
type ShortInts = npt.NDArray[np.int16]


class Seen(NamedTuple):
    """Routes seen: route r is ``stops[begins[r]:begins[r + 1]]`` of a technician of ``kind[r]``.

    ``size`` holds how many there are. ``slots`` is a table from the key of a kind and a set of
    visits (``keys``) to the route. ``node_keys`` and ``kind_keys`` are random words; a key is
    their exclusive sum. A route is noted if it is priced below ``ceiling``: its driving less
    ``price_of_visit`` of each visit and ``price_of_kind``. ``drive`` is all that a route costs.
    """

    stops: ShortInts
    begins: Ints
    kind: Ints
    drive: Ints
    keys: Keys
    slots: Ints
    size: Ints
    node_keys: Keys
    kind_keys: Keys
    price_of_visit: Floats
    price_of_kind: Floats
    ceiling: Floats


def nothing_seen(day: FlatDay, most: int) -> Seen:
    """Return room for some routes."""
    visits, nodes, kinds = len(day.near), len(day.nodes), len(day.crew)
    words = np.random.default_rng(20_240_901)
    return Seen(
        stops=np.zeros(most * 16, np.int16),
        begins=np.zeros(most + 1, np.int64),
        kind=np.zeros(most, np.int64),
        drive=np.zeros(most, np.int64),
        keys=np.zeros(most, np.uint64),
        slots=np.full(1 << (2 * most - 1).bit_length(), -1, np.int64),
        size=np.zeros(1, np.int64),
        node_keys=words.integers(0, 2**64, nodes, np.uint64),
        kind_keys=words.integers(0, 2**64, kinds, np.uint64),
        price_of_visit=np.zeros(visits, np.float64),
        price_of_kind=np.zeros(kinds, np.float64),
        ceiling=np.full(1, -np.inf),
    )


@compiled_lean
def note_route(
    stops: Grid[StopRow], tours: Rows[TourRow], crew: Rows[Driver], visits: int, k: int, seen: Seen
) -> None:
    """Note a route if its price is low, it is new for its visits, or cheaper than the one known."""
    count = tours[k].count
    if count == 0:
        return
    kind = crew[k].kind
    price = tours[k].price - seen.price_of_kind[kind]
    for p in range(count):
        node = stops[k, p].node
        if node < visits:
            price -= seen.price_of_visit[node]
    if price > seen.ceiling[0]:
        return
    key = seen.kind_keys[kind]
    for p in range(count):
        node = stops[k, p].node
        if node < visits:
            key ^= seen.node_keys[node]
    size = seen.size[0]
    mask = np.uint64(len(seen.slots) - 1)
    slot = key & mask
    while True:
        found = seen.slots[slot]
        if found < 0:
            break
        if seen.keys[found] == key:
            if seen.drive[found] <= tours[k].price:
                return
            break
        slot = (slot + np.uint64(1)) & mask
    begin = seen.begins[size]
    if size + 1 >= len(seen.begins) or begin + count > len(seen.stops):
        return
    for p in range(count):
        seen.stops[begin + p] = stops[k, p].node
    seen.begins[size + 1] = begin + count
    seen.kind[size] = kind
    seen.drive[size] = tours[k].price
    seen.keys[size] = key
    seen.slots[slot] = size
    seen.size[0] = size + 1


@compiled_lean
def fill_slots(keys: Keys, size: int, slots: Ints) -> None:
    """Enter the first ``size`` keys into an empty table; of equal keys the last one stands."""
    mask = np.uint64(len(slots) - 1)
    for route in range(size):
        slot = keys[route] & mask
        while slots[slot] >= 0 and keys[slots[slot]] != keys[route]:
            slot = (slot + np.uint64(1)) & mask
        slots[slot] = route


def keep_only(seen: Seen, chosen: Ints) -> None:
    """Forget all routes but the chosen ones (numbers in rising order)."""
    lengths = np.diff(seen.begins)[chosen]
    starts = np.repeat(seen.begins[chosen], lengths)
    begins = np.concatenate([[0], np.cumsum(lengths)])
    within = np.arange(begins[-1]) - np.repeat(begins[:-1], lengths)
    seen.stops[: begins[-1]] = seen.stops[starts + within]
    seen.begins[: len(begins)] = begins
    for field in (seen.kind, seen.drive, seen.keys):
        field[: len(chosen)] = field[chosen]
    seen.size[0] = len(chosen)
    seen.slots[:] = -1
    fill_slots(seen.keys, len(chosen), seen.slots)
