"""All routes of one kind of technician that are worth having, grown visit by visit.

A label is the beginning of a route: where it stands, both lunch clocks, the price so far, which
visits it may not make again. Labels that cannot be better than another are dropped (dominance),
and those whose price with the least rest is not below a limit. See Baldacci, Mingozzi and Roberti,
"New route relaxation and pricing strategies for the vehicle routing problem", Operations
Research 59(5), 2011, for neighbourhoods: far from a visit it is forgotten that it was made.
"""

from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from registry.compiled import compiled
from registry.plan.problem import UNREACHABLE_S
from registry.solvers.bound.completion import rest_of
from registry.solvers.bound.kinds import SCALE, UNPRICED
from registry.solvers.clocks import LATE, at_start, forward
from registry.solvers.rows import Driver, Ints, Node, Rows, SmallInts

type Words = npt.NDArray[np.uint64]

ROUGH, EXACT, EVERY = 0, 1, 2
"""Dominance among labels at one node whatever they visited (quick, may miss routes); among those
that may visit as much; among those that visited the same, so that no set of visits is lost."""
SAME_SET_SLOTS = 1 << 20
BUCKETS = 256
DONE, FULL, TIRED = 0, 1, 2
"""How a labelling ends: all routes are known, no room for more labels, too much work."""


class LabelRow(Protocol):
    """One label.

    ``came_from`` is the label before, ``below`` the next one in the list of those it is compared
    with, ``later`` the next one in its bucket of time. ``total`` is the price with the drive
    home, ``UNPRICED`` if home is out of reach.
    """

    price: int
    total: int
    before: int
    after: int
    load: int
    drive: int
    node: int
    came_from: int
    below: int
    later: int
    dropped: bool


LABEL = np.dtype(
    [
        ("price", np.int64),
        ("total", np.int64),
        ("before", np.int32),
        ("after", np.int32),
        ("load", np.int32),
        ("drive", np.int32),
        ("node", np.int32),
        ("came_from", np.int32),
        ("below", np.int32),
        ("later", np.int32),
        ("dropped", np.bool_),
    ],
    align=True,
)


class Labels(NamedTuple):
    """Room for labels: ``rows`` (L,), the ``sets`` they may not visit again (L, words)."""

    rows: npt.NDArray[np.void]
    sets: Words


@compiled
def fits_in(sets: Words, one: int, other: int) -> bool:
    """Tell whether one set is part of another."""
    for word in range(sets.shape[1]):
        if sets[one, word] & ~sets[other, word]:
            return False
    return True


@compiled
def dominates(rows: Rows[LabelRow], sets: Words, how: int, one: int, other: int) -> bool:
    """Tell whether whatever can follow one label can follow it at least as cheaply as another."""
    a, b = rows[one], rows[other]
    if a.price > b.price or a.before > b.before or a.after > b.after or a.load > b.load:
        return False
    return how != 1 or fits_in(sets, one, other)


@compiled
def list_of(sets: Words, label: int, node: int, how: int) -> np.int64:
    """Return the number of the list in which labels are compared with this one."""
    if how != 2:
        return np.int64(node)
    mixed = np.uint64(node + 1) * np.uint64(0xBF58476D1CE4E5B9)
    for word in range(sets.shape[1]):
        mixed ^= sets[label, word] * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
        mixed *= np.uint64(0x94D049BB133111EB)
    return np.int64((mixed >> np.uint64(20)) & np.uint64(SAME_SET_SLOTS - 1))


@compiled
def same_key(rows: Rows[LabelRow], sets: Words, one: int, other: int) -> bool:
    """Tell whether two labels stand at the same node after the same visits."""
    if rows[one].node != rows[other].node:
        return False
    for word in range(sets.shape[1]):
        if sets[one, word] != sets[other, word]:
            return False
    return True


@compiled
def enter(
    rows: Rows[LabelRow],
    sets: Words,
    heads: npt.NDArray[np.int32],
    how: int,
    label: int,
) -> tuple[bool, int]:
    """Put a label in its list unless another dominates it; drop those that it dominates.

    Returns whether it stays, and how many labels it was compared with.
    """
    node = rows[label].node
    head = list_of(sets, label, node, how)
    other = heads[head]
    previous = -1
    compared = 0
    while other != -1:
        compared += 1
        following = rows[other].below
        gone = rows[other].dropped
        if not gone and (how != 2 or same_key(rows, sets, label, other)):
            if dominates(rows, sets, how, other, label):
                return False, compared
            if dominates(rows, sets, how, label, other):
                rows[other].dropped = True
                gone = True
        if gone:
            if previous == -1:
                heads[head] = following
            else:
                rows[previous].below = following
        else:
            previous = other
        other = following
    rows[label].below = heads[head]
    heads[head] = label
    return True, compared


@compiled
def grow(
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    who: Driver,
    members: Ints,
    home_before: Ints,
    home_after: Ints,
    gain: Ints,
    kept: Words,
    step_s: int,
    least: Ints,
    following: Ints,
    second: Ints,
    rows: Rows[LabelRow],
    sets: Words,
    how: int,
    limit: int,
    most_work: int,
) -> tuple[int, int, int]:
    """Grow all routes whose price is below a limit; return how it ended, labels, least price.

    ``kept`` (visits, words) are the visits that a route remembers while it stands at a visit;
    ``gain`` what each visit pays, in ``1 / SCALE`` seconds.
    """
    words = sets.shape[1]
    bucket_s = (who.shift_to - who.shift_from) // BUCKETS + 1
    buckets = np.full(BUCKETS + 1, -1, np.int32)
    heads = np.full(SAME_SET_SLOTS if how == 2 else len(nodes), -1, np.int32)
    root = rows[0]
    root.price = 0
    root.total = UNPRICED
    root.before, root.after = at_start(who)
    root.load = 0
    root.drive = 0
    root.node = who.start
    root.came_from = -1
    root.later = -1
    root.dropped = False
    for word in range(words):
        sets[0, word] = np.uint64(0)
    buckets[0] = 0
    count = 1
    best = UNPRICED
    work = 0
    for bucket in range(BUCKETS + 1):
        while buckets[bucket] != -1:
            at = buckets[bucket]
            here = rows[at]
            buckets[bucket] = here.later
            if here.dropped:
                continue
            i = here.node
            work += len(members)
            for j in members:
                leg = travel[i, j]
                if (
                    j == i
                    or leg >= UNREACHABLE_S
                    or (sets[at, j >> 6] >> np.uint64(j & 63)) & np.uint64(1)
                    or here.load + nodes[j].demand > who.capacity
                    or (how == 2 and here.drive + leg > who.most_drive)
                ):
                    continue
                before, after = forward(who, nodes, windows, here.before, here.after, leg, j)
                if before >= LATE and after >= LATE:
                    continue
                price = here.price + leg * SCALE - gain[j]
                rest = rest_of(who, least, following, second, step_s, j, before, after, i)
                if price + rest >= limit:
                    continue
                if count >= len(rows):
                    return FULL, count, best
                new = rows[count]
                new.price = price
                new.before = before
                new.after = after
                new.load = here.load + nodes[j].demand
                new.drive = here.drive + leg
                new.node = j
                new.came_from = at
                new.dropped = False
                for word in range(words):
                    sets[count, word] = sets[at, word] & kept[j, word]
                sets[count, j >> 6] |= np.uint64(1) << np.uint64(j & 63)
                stays, compared = enter(rows, sets, heads, how, count)
                work += compared
                if not stays:
                    continue
                new.total = UNPRICED
                home = travel[j, who.end]
                in_time = before <= home_before[j] or after <= home_after[j]
                if in_time and (how != 2 or new.drive + home <= who.most_drive):
                    new.total = price + home * SCALE
                    best = min(best, new.total)
                then = min((min(before, after) - who.shift_from) // bucket_s, BUCKETS)
                new.later = buckets[then]
                buckets[then] = count
                count += 1
            if work > most_work:
                return TIRED, count, best
    return DONE, count, best


@compiled
def cheapest(rows: Rows[LabelRow], count: int, limit: int, most: int) -> Ints:
    """Return the labels of the routes with the least price below a limit, cheapest first."""
    found = 0
    for label in range(count):
        if rows[label].total < limit and not rows[label].dropped:
            found += 1
    which = np.empty(found, np.int64)
    totals = np.empty(found, np.int64)
    found = 0
    for label in range(count):
        if rows[label].total < limit and not rows[label].dropped:
            which[found] = label
            totals[found] = rows[label].total
            found += 1
    if found > most:
        return which[np.argsort(totals, kind="mergesort")[:most]]
    return which


@compiled
def stops_of(rows: Rows[LabelRow], label: int) -> Ints:
    """Return the visits of a label's route in order."""
    length = 0
    at = label
    while rows[at].came_from != -1:
        length += 1
        at = rows[at].came_from
    stops = np.empty(length, np.int64)
    at = label
    while rows[at].came_from != -1:
        length -= 1
        stops[length] = rows[at].node
        at = rows[at].came_from
    return stops
