"""The search: ruin, recreate, and keep the change if it is not much worse (annealing)."""

from typing import NamedTuple

import numpy as np

from registry.compiled import compiled, compiled_lean
from registry.solvers.rows import Flags, Ints, Rows, SmallInts
from registry.solvers.search.chance import Chance, drawn, drawn_below
from registry.solvers.search.flat import Driver, FlatDay, Grid, Node, Tables
from registry.solvers.search.recreate import OFFER, insert_cheapest, order_for_insertion
from registry.solvers.search.routes import Routes, StopRow, TourRow, refresh
from registry.solvers.search.ruin import cut_string, strings_and_length
from registry.solvers.search.seen import Seen, note_route
from registry.solvers.search.tanks import mend_tanks


class Temper(NamedTuple):
    """Settings of one stretch of annealing; temperatures in seconds of driving.

    ``hot`` to ``cold`` over the whole search, of which this stretch is ``share_from`` to
    ``share_to``. ``average_removed`` visits come out in a round; ``reach_out`` waiting visits near
    the ruin are tried besides those that came out.
    """

    hot: float
    cold: float
    share_from: float
    share_to: float
    average_removed: float
    longest: int
    blink: float
    reach_out: int


@compiled_lean
def copy_route(
    stops: Grid[StopRow],
    tours: Rows[TourRow],
    into_stops: Grid[StopRow],
    into_tours: Rows[TourRow],
    k: int,
) -> None:
    """Copy one route with its clocks."""
    count = tours[k].count
    into_tours[k].count = count
    into_tours[k].drive = tours[k].drive
    into_tours[k].load = tours[k].load
    into_tours[k].home = tours[k].home
    into_tours[k].busy = tours[k].busy
    into_tours[k].over = tours[k].over
    into_tours[k].price = tours[k].price
    for p in range(count):
        source, target = stops[k, p], into_stops[k, p]
        target.node = source.node
        target.leg = source.leg
        target.ready_before = source.ready_before
        target.ready_after = source.ready_after
        target.arrive_before = source.arrive_before
        target.arrive_after = source.arrive_after
        target.used = source.used
        target.ahead = source.ahead
        target.aboard = source.aboard
        target.coming = source.coming


@compiled_lean
def plan_cost(nodes: Rows[Node], tours: Rows[TourRow], where: Ints) -> int:
    """Return the price of all routes and the worth of what waits."""
    cost = 0
    for k in range(len(tours)):
        cost += tours[k].price
    for visit in range(len(where)):
        if where[visit] < 0:
            cost += nodes[visit].worth
    return cost


@compiled_lean
def ruin(
    nodes: Rows[Node],
    windows: Ints,
    travel: Tables,
    crew: Rows[Driver],
    extra: Ints,
    near: SmallInts,
    fills: int,
    stops: Grid[StopRow],
    tours: Rows[TourRow],
    where: Ints,
    kept_stops: Grid[StopRow],
    kept_tours: Rows[TourRow],
    seed: int,
    average_removed: float,
    longest: int,
    touched: Flags,
    removed: SmallInts,
    chance: Chance,
) -> int:
    """Take strings out around the visit ``seed``; return how many visits are off.

    A route that no longer holds without the stops that were taken out (roads can break the
    triangle inequality) is put back as it was kept.
    """
    visits = len(near)
    most, usual = strings_and_length(tours, average_removed, longest)
    strings = int(drawn(chance) * most + 1.0)
    total = 0
    done = 0
    for x in range(visits):
        if done >= strings:
            break
        visit = near[seed, x]
        k = where[visit]
        if k < 0 or touched[k]:
            continue
        taken = cut_string(stops, tours, k, visit, usual, chance, removed, visits)
        touched[k] = True
        done += 1
        first = total
        for y in range(visits, visits + taken):
            if removed[y] < visits:
                where[removed[y]] = -1
                removed[total] = removed[y]
                total += 1
        holds = refresh(nodes, windows, travel, crew, extra, visits, stops, tours, k)
        if fills > 0:
            total = mend_tanks(
                nodes,
                windows,
                travel,
                crew,
                extra,
                visits,
                fills,
                stops,
                tours,
                k,
                where,
                removed,
                total,
            )
            holds = refresh(nodes, windows, travel, crew, extra, visits, stops, tours, k)
        if not holds:
            copy_route(kept_stops, kept_tours, stops, tours, k)
            for y in range(first, total):
                where[removed[y]] = k
            total = first
    return total


@compiled_lean
def add_waiting(
    near: SmallInts,
    where: Ints,
    kept_where: Ints,
    seed: int,
    most: int,
    removed: SmallInts,
    count: int,
) -> int:
    """Write the waiting visits nearest to the ruin behind those that came out of it."""
    upto = count + most
    for x in range(len(near)):
        if count >= upto:
            break
        visit = near[seed, x]
        if where[visit] < 0 and kept_where[visit] < 0:
            removed[count] = visit
            count += 1
    return count


@compiled
def anneal(
    day: FlatDay,
    routes: Routes,
    best: Routes,
    temper: Temper,
    rounds: int,
    chance: Chance,
    seen: Seen,
) -> tuple[int, int]:
    """Search on from ``routes`` for some rounds; ``best`` becomes the best plan seen.

    Both are changed in place. Returns the costs of ``routes`` and ``best``.
    """
    nodes, windows, travel, crew, able, extra, near, fills = day
    stops, tours, where = routes
    best_stops, best_tours, best_where = best
    visits, size = len(near), len(crew)
    kept_stops, kept_tours, kept_where = stops.copy(), tours.copy(), where.copy()
    for k in range(size):
        refresh(nodes, windows, travel, crew, extra, visits, stops, tours, k)
        refresh(nodes, windows, travel, crew, extra, visits, best_stops, best_tours, k)
        copy_route(stops, tours, kept_stops, kept_tours, k)
    cost = plan_cost(nodes, tours, where)
    best_cost = plan_cost(nodes, best_tours, best_where)
    touched = np.zeros(size, np.bool_)
    removed = np.empty(2 * visits + stops.shape[1], np.int32)
    keys = np.empty(visits, np.float64)
    editions = np.ones(size, np.int64)
    offers = np.zeros((visits, size), OFFER)
    empty_tried = np.zeros(size, np.int64)
    mark = 0
    for turn in range(rounds):
        share = temper.share_from + (temper.share_to - temper.share_from) * turn / rounds
        heat = temper.hot * (temper.cold / temper.hot) ** share
        touched[:] = False
        seed = drawn_below(chance, visits)
        count = ruin(
            nodes,
            windows,
            travel,
            crew,
            extra,
            near,
            fills,
            stops,
            tours,
            where,
            kept_stops,
            kept_tours,
            seed,
            temper.average_removed,
            temper.longest,
            touched,
            removed,
            chance,
        )
        count = add_waiting(near, where, kept_where, seed, temper.reach_out, removed, count)
        order_for_insertion(nodes, travel[0], crew[0].start, removed, count, keys, chance)
        for x in range(count):
            mark += 1
            insert_cheapest(
                nodes,
                windows,
                travel,
                crew,
                able,
                extra,
                visits,
                fills,
                stops,
                tours,
                where,
                removed[x],
                touched,
                editions,
                offers,
                empty_tried,
                mark,
                temper.blink,
                chance,
            )
        new_cost = plan_cost(nodes, tours, where)
        for k in range(size):
            if touched[k]:
                note_route(stops, tours, crew, visits, k, seen)
        if new_cost < cost - heat * np.log(drawn(chance) + 1e-300):
            cost = new_cost
            for k in range(size):
                if touched[k]:
                    copy_route(stops, tours, kept_stops, kept_tours, k)
                    editions[k] += 1
            kept_where[:] = where
            if cost < best_cost:
                best_cost = cost
                best_where[:] = where
                for k in range(size):
                    copy_route(stops, tours, best_stops, best_tours, k)
        else:
            where[:] = kept_where
            for k in range(size):
                if touched[k]:
                    copy_route(kept_stops, kept_tours, stops, tours, k)
    return cost, best_cost


@compiled_lean
def note_if_holds(day: FlatDay, routes: Routes, k: int, seen: Seen) -> None:
    """Note one route, written into ``routes`` as nodes, if it holds."""
    nodes, windows, travel, crew, _, extra, near, _ = day
    if refresh(nodes, windows, travel, crew, extra, len(near), routes.stops, routes.tours, k):
        note_route(routes.stops, routes.tours, crew, len(near), k, seen)


@compiled_lean
def cost_if_it_holds(day: FlatDay, routes: Routes) -> int:
    """Return the cost of a plan written into ``routes`` as nodes, -1 if a route does not hold."""
    nodes, windows, travel, crew, _, extra, near, _ = day
    stops, tours, where = routes
    for k in range(len(crew)):
        if not refresh(nodes, windows, travel, crew, extra, len(near), stops, tours, k):
            return -1
    return plan_cost(nodes, tours, where)
