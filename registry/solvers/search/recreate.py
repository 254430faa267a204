"""Recreate: put visits that wait on routes again, one after the other, each where it costs least.

After Christiaens and Vanden Berghe (2020), section 5.2: greedy insertion with blinks, in an order
drawn anew each time. A visit stays off if every place costs more than it is worth.
"""

from typing import Protocol

import numpy as np

from registry.compiled import compiled_lean
from registry.solvers.rows import Flags, Floats, Ints, Rows, SmallInts
from registry.solvers.search.chance import Chance, drawn
from registry.solvers.search.flat import Driver, Grid, Node, Tables
from registry.solvers.search.insertion import (
    LACKS_NOTHING,
    LACKS_ROOM,
    NO_PLACE,
    best_gap,
    put_in,
)
from registry.solvers.search.routes import StopRow, TourRow, refresh
from registry.solvers.search.tanks import best_gaps_with_fill


@compiled_lean
def order_for_insertion(
    nodes: Rows[Node],
    travel: SmallInts,
    yard: int,
    waiting: SmallInts,
    count: int,
    keys: Floats,
    chance: Chance,
) -> None:
    """Put the first ``count`` visits into the order in which they are tried."""
    way = drawn(chance)
    for x in range(count):
        visit = waiting[x]
        row = nodes[visit]
        if way < 0.2:
            keys[x] = drawn(chance)
        elif way < 0.45:
            keys[x] = -row.worth * (0.7 + 0.6 * drawn(chance))
        elif way < 0.7:
            keys[x] = -row.worth / (row.service + 600.0) * (0.7 + 0.6 * drawn(chance))
        elif way < 0.8:
            keys[x] = -float(travel[yard, visit])
        elif way < 0.9:
            keys[x] = float(row.closes - row.opens)
        else:
            keys[x] = float(travel[yard, visit])
    for x in range(1, count):
        key, visit = keys[x], waiting[x]
        y = x - 1
        while y >= 0 and keys[y] > key:
            keys[y + 1], waiting[y + 1] = keys[y], waiting[y]
            y -= 1
        keys[y + 1], waiting[y + 1] = key, visit


class Offer(Protocol):
    """The cheapest way to put one visit on one route, remembered while the route stays as it is.

    ``edition`` is the edition of the route for which it holds; ``gap`` NO_PLACE = there is none.
    """

    edition: int
    price: int
    gap: int
    fill_gap: int
    fill_node: int


OFFER = np.dtype(
    [(name, np.int32) for name in ("edition", "price", "gap", "fill_gap", "fill_node")]
)


@compiled_lean
def offer_of(
    who: Driver,
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    visits: int,
    fills: int,
    stops: Grid[StopRow],
    tour: TourRow,
    k: int,
    count: int,
    visit: int,
    extra: int,
    limit: int,
    blink: float,
    chance: Chance,
) -> tuple[int, int, int, int]:
    """Return the cheapest way onto a route below a price: (price, gap, gap and node of a fill)."""
    price, gap, lacks = best_gap(
        who, nodes, windows, travel, stops, tour, k, count, visit, extra, limit, blink, chance
    )
    if lacks == LACKS_NOTHING or fills == 0:
        return price, gap, NO_PLACE, NO_PLACE
    dearer, visit_gap, fill_gap, fill_node = best_gaps_with_fill(
        who,
        nodes,
        windows,
        travel,
        visits,
        fills,
        stops,
        tour,
        k,
        count,
        visit,
        lacks == LACKS_ROOM,
        extra,
        price,
    )
    if visit_gap == NO_PLACE:
        return price, gap, NO_PLACE, NO_PLACE
    return dearer, visit_gap, fill_gap, fill_node


@compiled_lean
def insert_cheapest(
    nodes: Rows[Node],
    windows: Ints,
    travel: Tables,
    crew: Rows[Driver],
    able: Flags,
    extra: Ints,
    visits: int,
    fills: int,
    stops: Grid[StopRow],
    tours: Rows[TourRow],
    where: Ints,
    visit: int,
    touched: Flags,
    editions: Ints,
    offers: Grid[Offer],
    empty_tried: Ints,
    mark: int,
    blink: float,
    chance: Chance,
) -> bool:
    """Put one visit where it costs least, if that is below its worth; tell whether it was put in.

    Routes not touched in this round answer from ``offers`` if these hold their edition. Of empty
    routes one of each kind of technician is asked (``empty_tried[kind] == mark``: was asked).
    """
    price = nodes[visit].worth
    demand = nodes[visit].demand
    best_k, gap, fill_gap, fill_node = NO_PLACE, NO_PLACE, NO_PLACE, NO_PLACE
    for k in range(len(tours)):
        count = tours[k].count
        if (
            not able[k, visit]
            or count + 2 > stops.shape[1]
            or tours[k].load + demand > crew[k].capacity
        ):
            continue
        if count == 0:
            if empty_tried[crew[k].kind] == mark:
                continue
            empty_tried[crew[k].kind] = mark
        if touched[k]:
            cost, p, q, node = offer_of(
                crew[k],
                nodes,
                windows,
                travel[crew[k].table],
                visits,
                fills,
                stops,
                tours[k],
                k,
                count,
                visit,
                extra[k, visit],
                price,
                blink,
                chance,
            )
            if p != NO_PLACE:
                price, best_k, gap, fill_gap, fill_node = cost, k, p, q, node
            continue
        offer = offers[visit, k]
        if offer.edition != editions[k]:
            cost, p, q, node = offer_of(
                crew[k],
                nodes,
                windows,
                travel[crew[k].table],
                visits,
                fills,
                stops,
                tours[k],
                k,
                count,
                visit,
                extra[k, visit],
                nodes[visit].worth,
                0.0,
                chance,
            )
            offer.edition = editions[k]
            offer.price = cost
            offer.gap = p
            offer.fill_gap = q
            offer.fill_node = node
        if offer.gap != NO_PLACE and offer.price < price and drawn(chance) >= blink:
            price, best_k, gap = offer.price, k, offer.gap
            fill_gap, fill_node = offer.fill_gap, offer.fill_node
    if best_k == NO_PLACE:
        return False
    if fill_gap != NO_PLACE and fill_gap < gap:
        put_in(stops, tours, best_k, fill_node, fill_gap)
        put_in(stops, tours, best_k, visit, gap)
    else:
        put_in(stops, tours, best_k, visit, gap)
        if fill_gap != NO_PLACE:
            put_in(stops, tours, best_k, fill_node, fill_gap)
    where[visit] = best_k
    touched[best_k] = True
    refresh(nodes, windows, travel, crew, extra, visits, stops, tours, best_k)
    return True
