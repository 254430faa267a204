"""Ruin: take strings of stops out of routes that lie near each other.

After Christiaens and Vanden Berghe, "Slack Induction by String Removals for Vehicle Routing
Problems", Transportation Science 54(2), 2020, section 5.1 (strings, split strings).
"""

from registry.compiled import compiled_lean
from registry.solvers.rows import Rows, SmallInts
from registry.solvers.search.chance import Chance, drawn, drawn_below
from registry.solvers.search.flat import Grid
from registry.solvers.search.routes import StopRow, TourRow

SPLIT_SHARE = 0.5
KEEP_SHARE = 0.5


@compiled_lean
def strings_and_length(
    tours: Rows[TourRow], average_removed: float, longest: int
) -> tuple[float, float]:
    """Return the most strings to take out and the longest length of one (equations 5 to 7)."""
    stops = 0
    driven = 0
    for k in range(len(tours)):
        if tours[k].count > 0:
            stops += tours[k].count
            driven += 1
    if driven == 0:
        return 0.0, 0.0
    length = min(float(longest), stops / driven)
    return 4.0 * average_removed / (1.0 + length) - 1.0, length


@compiled_lean
def cut_string(
    stops: Grid[StopRow],
    tours: Rows[TourRow],
    k: int,
    visit: int,
    usual: float,
    chance: Chance,
    out: SmallInts,
    write_at: int,
) -> int:
    """Take a string of stops that holds ``visit`` out of a route; return how many came out.

    Half of the strings are split: longer by some stops that stay in as a block. What came out is
    written into ``out`` from ``write_at`` on.
    """
    count = tours[k].count
    length = min(int(drawn(chance) * min(float(count), usual) + 1.0), count)
    keep = 0
    if length < count and drawn(chance) < SPLIT_SHARE:
        keep = 1
        while length + keep < count and drawn(chance) > KEEP_SHARE:
            keep += 1
    middle = 0
    while stops[k, middle].node != visit:
        middle += 1
    whole = length + keep
    lowest = max(0, middle - whole + 1)
    first = lowest + drawn_below(chance, min(middle, count - whole) - lowest + 1)
    kept_from = first + drawn_below(chance, length + 1)
    write = first
    taken = 0
    for p in range(first, count):
        node = stops[k, p].node
        if p >= first + whole or kept_from <= p < kept_from + keep:
            stops[k, write].node = node
            write += 1
        else:
            out[write_at + taken] = node
            taken += 1
    tours[k].count = write
    return taken
