"""Fill and disposal stops: put in where a tank would not last, taken out where it would."""

from registry.compiled import compiled_lean
from registry.solvers.clocks import LATE, forward
from registry.solvers.rows import Ints, Rows, SmallInts
from registry.solvers.search.flat import Driver, Grid, Node, Tables
from registry.solvers.search.insertion import NO_PLACE, detour, fits_from, put_in, take_out
from registry.solvers.search.routes import StopRow, TourRow, clocks_before, refresh


@compiled_lean
def taken(who: Driver, stops: Grid[StopRow], k: int, p: int, septage: bool) -> float:
    """Return what one tank has taken before gap p."""
    if p == 0:
        return who.aboard if septage else who.used
    return stops[k, p - 1].aboard if septage else stops[k, p - 1].used


@compiled_lean
def to_come(stops: Grid[StopRow], k: int, p: int, count: int, septage: bool) -> float:
    """Return what one tank takes behind gap p until it is filled or emptied."""
    if p == count:
        return 0.0
    return stops[k, p].coming if septage else stops[k, p].ahead


@compiled_lean
def best_gaps_with_fill(
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
    node: int,
    septage: bool,
    extra: int,
    limit: int,
) -> tuple[int, int, int, int]:
    """Return the cheapest gaps for a visit together with a fill (or disposal), below a price.

    Returns (price, gap of the visit, gap of the fill, node of the fill). The one that comes later
    on the route counts its gap with the other already put in. The price leaves out overtime and
    unevenness, which the next refresh counts.
    """
    price, visit_gap, fill_gap, best_fill = limit, NO_PLACE, NO_PLACE, NO_PLACE
    needs = nodes[node].septage if septage else nodes[node].water
    also_needs = nodes[node].water if septage else nodes[node].septage
    limit_here = who.room if septage else who.tank
    limit_also = who.tank if septage else who.room
    for fill in range(visits, visits + fills):
        if nodes[fill].empties != septage:
            continue
        for visit_first in (True, False):
            one = node if visit_first else fill
            two = fill if visit_first else node
            for p in range(count + 1):
                previous, before, after = clocks_before(who, stops, k, p)
                taken_at_p = taken(who, stops, k, p, septage)
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
                    taken_here = taken(who, stops, k, q, septage)
                    if visit_first and taken_here + needs > limit_here:
                        break
                    behind = to_come(stops, k, q, count, septage)
                    if not visit_first and taken_here - taken_at_p + needs + behind > limit_here:
                        continue
                    at = p if visit_first else q
                    also = taken(who, stops, k, at, not septage)
                    also += also_needs + to_come(stops, k, at, count, not septage)
                    if also > limit_also:
                        continue
                    following = who.end if q == count else stops[k, q].node
                    driven = added_one + travel[last, two] + travel[two, following]
                    driven -= travel[last, following] if q > p else travel[one, following]
                    if driven + extra >= price or tour.drive + driven > who.most_drive:
                        continue
                    then_before, then_after = forward(
                        who, nodes, windows, before, after, travel[last, two], two
                    )
                    if fits_from(who, travel, stops, k, count, two, then_before, then_after, q):
                        price, best_fill = driven + extra, fill
                        visit_gap, fill_gap = (p, q + 1) if visit_first else (q + 1, p)
    return price, visit_gap, fill_gap, best_fill


@compiled_lean
def mend_tanks(
    nodes: Rows[Node],
    windows: Ints,
    travel: Tables,
    crew: Rows[Driver],
    extra: Ints,
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
    who = crew[k]
    drop_needless_fills(nodes, windows, travel, crew, extra, visits, stops, tours, k)
    while True:
        short = NO_PLACE
        septage = False
        for p in range(tours[k].count):
            if stops[k, p].used > who.tank or stops[k, p].aboard > who.room:
                short = p
                septage = stops[k, p].used <= who.tank
                break
        if short == NO_PLACE:
            return total
        gap, fill = fill_before(
            nodes,
            windows,
            travel[who.table],
            who,
            visits,
            fills,
            stops,
            k,
            tours[k].count,
            short,
            septage,
        )
        if gap != NO_PLACE and tours[k].count < stops.shape[1]:
            put_in(stops, tours, k, fill, gap)
        else:
            visit = stops[k, short].node
            take_out(stops, tours, k, short)
            where[visit] = -1
            removed[total] = visit
            total += 1
        refresh(nodes, windows, travel, crew, extra, visits, stops, tours, k)


@compiled_lean
def drop_needless_fills(
    nodes: Rows[Node],
    windows: Ints,
    travel: Tables,
    crew: Rows[Driver],
    extra: Ints,
    visits: int,
    stops: Grid[StopRow],
    tours: Rows[TourRow],
    k: int,
) -> None:
    """Take out every fill without which the tank lasts."""
    who = crew[k]
    p = 0
    while p < tours[k].count:
        node = stops[k, p].node
        if node >= visits:
            septage = nodes[node].empties
            goes_on = taken(who, stops, k, p, septage)
            goes_on += to_come(stops, k, p + 1, tours[k].count, septage)
            if goes_on <= (who.room if septage else who.tank):
                take_out(stops, tours, k, p)
                refresh(nodes, windows, travel, crew, extra, visits, stops, tours, k)
                continue
        p += 1


@compiled_lean
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
    short: int,
    septage: bool,
) -> tuple[int, int]:
    """Return the cheapest gap for a fill before the stop where a tank does not last, and its node.

    A fill whose tank is filled anew at once would change nothing, so the search ends at the last
    stop of the same sort.
    """
    price, gap, best_fill = LATE, NO_PLACE, NO_PLACE
    for p in range(short, -1, -1):
        node = stops[k, p].node
        if node >= visits and nodes[node].empties == septage:
            break
        for fill in range(visits, visits + fills):
            if nodes[fill].empties != septage:
                continue
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
