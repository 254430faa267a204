"""Fill stops: put in where the tank would not last, taken out where it would."""

from registry.solvers.search.clocks import (
    LATE,
    StopRow,
    TourRow,
    clocks_before,
    forward,
    refresh,
)
from registry.solvers.search.compiled import compiled
from registry.solvers.search.flat import Driver, Grid, Ints, Node, Rows, SmallInts
from registry.solvers.search.insertion import NO_PLACE, detour, fits_from, put_in, take_out


@compiled
def best_gaps_with_fill(
    who: Driver,
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    visits: int,
    fills: int,
    stops: Grid[StopRow],
    k: int,
    count: int,
    node: int,
    limit: int,
) -> tuple[int, int, int, int]:
    """Return the cheapest gaps for a visit together with a fill, below a price.

    Returns (price, gap of the visit, gap of the fill, node of the fill). The one that comes later
    on the route counts its gap with the other already put in.
    """
    price, visit_gap, fill_gap, best_fill = limit, NO_PLACE, NO_PLACE, NO_PLACE
    water_gal = nodes[node].water
    for fill in range(visits, visits + fills):
        for visit_first in (True, False):
            one = node if visit_first else fill
            two = fill if visit_first else node
            for p in range(count + 1):
                previous, before, after = clocks_before(who, stops, k, p)
                used_at_p = stops[k, p - 1].used if p > 0 else 0.0
                before, after = forward(
                    who, nodes, windows, before, after, travel[previous, one], one
                )
                added_one = detour(who, travel, stops, k, count, one, p)
                last = one
                for q in range(p, count + 1):
                    if q > p:
                        came_from = last
                        last = stops[k, q - 1].node
                        if last >= visits:
                            break
                        before, after = forward(
                            who, nodes, windows, before, after, travel[came_from, last], last
                        )
                    if before >= LATE and after >= LATE:
                        break
                    used = stops[k, q - 1].used if q > 0 else 0.0
                    ahead = stops[k, q].ahead if q < count else 0.0
                    if visit_first and used + water_gal > who.tank:
                        break
                    if not visit_first and used - used_at_p + water_gal + ahead > who.tank:
                        continue
                    following = who.end if q == count else stops[k, q].node
                    added = added_one + travel[last, two] + travel[two, following]
                    if q > p or count > 0:
                        added -= travel[last, following] if q > p else travel[one, following]
                    else:
                        added -= travel[one, following]
                    if added >= price:
                        continue
                    then_before, then_after = forward(
                        who, nodes, windows, before, after, travel[last, two], two
                    )
                    if fits_from(who, travel, stops, k, count, two, then_before, then_after, q):
                        price, best_fill = added, fill
                        visit_gap, fill_gap = (p, q + 1) if visit_first else (q + 1, p)
    return price, visit_gap, fill_gap, best_fill


@compiled
def mend_water(
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    crew: Rows[Driver],
    visits: int,
    fills: int,
    stops: Grid[StopRow],
    tours: Rows[TourRow],
    k: int,
    where: Ints,
    removed: SmallInts,
    total: int,
) -> int:
    """Take needless fills out, put missing ones in, give up visits where neither helps.

    Clocks are fresh before and after. Visits given up are written into ``removed`` from ``total``
    on; returns how many are there then.
    """
    drop_needless_fills(nodes, windows, travel, crew, visits, stops, tours, k)
    while True:
        dry = NO_PLACE
        for p in range(tours[k].count):
            if stops[k, p].used > crew[k].tank:
                dry = p
                break
        if dry == NO_PLACE:
            return total
        gap, fill = fill_before(
            nodes, windows, travel, crew[k], visits, fills, stops, k, tours[k].count, dry
        )
        if gap != NO_PLACE:
            put_in(stops, tours, k, fill, gap)
        else:
            visit = stops[k, dry].node
            take_out(stops, tours, k, dry)
            where[visit] = -1
            removed[total] = visit
            total += 1
        refresh(nodes, windows, travel, crew, visits, stops, tours, k)


@compiled
def drop_needless_fills(
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    crew: Rows[Driver],
    visits: int,
    stops: Grid[StopRow],
    tours: Rows[TourRow],
    k: int,
) -> None:
    """Take out every fill without which the tank lasts."""
    p = 0
    while p < tours[k].count:
        if stops[k, p].node >= visits:
            used = stops[k, p - 1].used if p > 0 else 0.0
            ahead = stops[k, p + 1].ahead if p + 1 < tours[k].count else 0.0
            if used + ahead <= crew[k].tank:
                take_out(stops, tours, k, p)
                refresh(nodes, windows, travel, crew, visits, stops, tours, k)
                continue
        p += 1


@compiled
def fill_before(
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    who: Driver,
    visits: int,
    fills: int,
    stops: Grid[StopRow],
    k: int,
    count: int,
    dry: int,
) -> tuple[int, int]:
    """Return the cheapest gap for a fill before the stop that runs dry, and the fill point."""
    price, gap, best_fill = LATE, NO_PLACE, NO_PLACE
    for p in range(dry, -1, -1):
        if stops[k, p].node >= visits:
            break
        for fill in range(visits, visits + fills):
            added = detour(who, travel, stops, k, count, fill, p)
            if added >= price:
                continue
            previous, before, after = clocks_before(who, stops, k, p)
            before, after = forward(
                who, nodes, windows, before, after, travel[previous, fill], fill
            )
            if (before < LATE or after < LATE) and fits_from(
                who, travel, stops, k, count, fill, before, after, p
            ):
                price, gap, best_fill = added, p, fill
    return gap, best_fill
