"""Where one more stop fits, and at what price in driving."""

from registry.compiled import compiled_lean
from registry.solvers.clocks import LATE, at_end, at_start, backward, forward
from registry.solvers.rows import Ints, Rows, SmallInts
from registry.solvers.search.chance import Chance, drawn
from registry.solvers.search.flat import Driver, Grid, Node
from registry.solvers.search.routes import (
    StopRow,
    TourRow,
    clocks_behind,
    overtime_price,
    uneven_price,
)

NO_PLACE = -1
LACKS_NOTHING, LACKS_WATER, LACKS_ROOM = 0, 1, 2


@compiled_lean
def fits_from(
    who: Driver,
    travel: SmallInts,
    stops: Grid[StopRow],
    k: int,
    count: int,
    node: int,
    before: int,
    after: int,
    p: int,
) -> bool:
    """Tell whether a route holds from gap p on if ``node``, put there, is left at the clocks."""
    following, arrive_before, arrive_after = clocks_behind(who, stops, k, p, count)
    leave_before, leave_after = backward(who, arrive_before, arrive_after, travel[node, following])
    return before <= leave_before or after <= leave_after


@compiled_lean
def detour(
    who: Driver, travel: SmallInts, stops: Grid[StopRow], k: int, count: int, node: int, p: int
) -> int:
    """Return the seconds of driving that a stop at gap p adds."""
    previous = who.start if p == 0 else stops[k, p - 1].node
    following = who.end if p == count else stops[k, p].node
    added = int(travel[previous, node] + travel[node, following])
    return added - int(travel[previous, following]) if count > 0 else added


@compiled_lean
def overtime_from(
    who: Driver,
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    stops: Grid[StopRow],
    k: int,
    count: int,
    node: int,
    before: int,
    after: int,
    p: int,
) -> int:
    """Return the price of overtime if ``node``, put into gap p, is left at the clocks."""
    here = node
    for q in range(p, count):
        following = stops[k, q].node
        before, after = forward(
            who, nodes, windows, before, after, travel[here, following], following
        )
        here = following
    return overtime_price(who, before, after, travel[here, who.end])


@compiled_lean
def too_late(
    who: Driver,
    stops: Grid[StopRow],
    k: int,
    p: int,
    count: int,
    before: int,
    after: int,
    leg: int,
    opens: int,
    takes: int,
) -> bool:
    """Tell whether a stop at gap p fails even if it is open without a break from ``opens`` on.

    ``before`` and ``after`` are the clocks when the stop before is left, ``takes`` is service and
    the drive on. Most gaps fail here, at a tenth of the time of the whole test.
    """
    by_before, by_after = stops[k, p].arrive_before, stops[k, p].arrive_after
    if p == count:
        by_before, by_after = at_end(who)
    return (
        max(before + leg, opens) + takes > by_before
        and max(before + leg + who.lunch_len, opens) + takes > by_after
        and max(after + leg, opens) + takes > by_after
    )


@compiled_lean
def best_gap(
    who: Driver,
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    stops: Grid[StopRow],
    tour: TourRow,
    k: int,
    count: int,
    node: int,
    extra: int,
    limit: int,
    blink: float,
    chance: Chance,
) -> tuple[int, int, int]:
    """Return the cheapest gap for a visit below a price: (price, gap, which tank did not last).

    ``blink`` is the share of gaps that are overlooked, which keeps greedy insertion from always
    ending in the same plan.
    """
    price, gap, lacks = limit, NO_PLACE, LACKS_NOTHING
    water_gal, septage_gal = nodes[node].water, nodes[node].septage
    opens, closes, service = nodes[node].opens, nodes[node].closes, nodes[node].service
    following = who.start
    before, after = at_start(who)
    for p in range(count + 1):
        previous = following
        if p > 0:
            before, after = stops[k, p - 1].ready_before, stops[k, p - 1].ready_after
            if before > closes and after > closes:
                break  # so does every later gap
        leg = travel[previous, node]
        if p < count:
            following = stops[k, p].node
            leg_out = travel[node, following]
            driven = leg + leg_out - stops[k, p].leg
        else:
            leg_out = travel[node, who.end]
            driven = leg + leg_out - tour.home
        added = driven + extra
        if added >= price or tour.drive + driven > who.most_drive:
            continue
        if too_late(who, stops, k, p, count, before, after, leg, opens, service + leg_out):
            continue
        if blink > 0.0 and drawn(chance) < blink:
            continue
        if water_gal > 0.0:
            used = stops[k, p - 1].used if p > 0 else who.used
            ahead = stops[k, p].ahead if p < count else 0.0
            if used + water_gal + ahead > who.tank:
                lacks = LACKS_WATER
                continue
        if septage_gal > 0.0:
            aboard = stops[k, p - 1].aboard if p > 0 else who.aboard
            coming = stops[k, p].coming if p < count else 0.0
            if aboard + septage_gal + coming > who.room:
                lacks = LACKS_ROOM
                continue
        left_before, left_after = forward(who, nodes, windows, before, after, leg, node)
        if (left_before < LATE or left_after < LATE) and fits_from(
            who, travel, stops, k, count, node, left_before, left_after, p
        ):
            if who.priced:
                busy = tour.busy + driven + service
                added += uneven_price(who, busy) - uneven_price(who, tour.busy)
                added -= tour.over
                added += overtime_from(
                    who, nodes, windows, travel, stops, k, count, node, left_before, left_after, p
                )
                if added >= price:
                    continue
            price = added
            gap = p
    return price, gap, lacks


@compiled_lean
def put_in(stops: Grid[StopRow], tours: Rows[TourRow], k: int, node: int, p: int) -> None:
    """Put a stop into gap p; clocks are stale until ``refresh``."""
    for q in range(tours[k].count, p, -1):
        stops[k, q].node = stops[k, q - 1].node
    stops[k, p].node = node
    tours[k].count += 1


@compiled_lean
def take_out(stops: Grid[StopRow], tours: Rows[TourRow], k: int, p: int) -> None:
    """Take out stop p; clocks are stale until ``refresh``."""
    tours[k].count -= 1
    for q in range(p, tours[k].count):
        stops[k, q].node = stops[k, q + 1].node
