"""The least that the rest of a route can cost: what keeps the labelling from hopeless routes.

A table over nodes and steps of time, worked out backwards. It lets a route come back to a visit
after two others, and rounds moments down to whole steps: both make the rest cheaper than it can
be, hence safe to discard by. Technicians with lunch to come and behind have tables of their own.
"""

from registry.compiled import compiled
from registry.plan.problem import UNREACHABLE_S
from registry.solvers.bound.kinds import SCALE, UNPRICED
from registry.solvers.clocks import LATE, at_start, forward
from registry.solvers.rows import Driver, Ints, Node, Rows, SmallInts


@compiled
def complete(
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    who: Driver,
    members: Ints,
    home_before: Ints,
    home_after: Ints,
    gain: Ints,
    step_s: int,
    least: Ints,
    following: Ints,
    second: Ints,
) -> None:
    """Fill the tables of shape (2, nodes, steps): first lunch to come, then lunch behind.

    ``least`` is the least price of the rest when a node is left in a step or later,
    ``following`` the visit that comes next then (-1 = the end place), ``second`` the least price
    with another visit next. A step is shorter than any stop with the drive to it.
    """
    steps = least.shape[2]
    first = 0 if who.has_lunch else 1
    for s in range(steps - 1, -1, -1):
        now = who.shift_from + s * step_s
        for lunch in range(first, 2):
            for i in members:
                best = UNPRICED
                best_next = -2
                other = UNPRICED
                if now <= (home_before[i] if lunch == 0 else home_after[i]):
                    best = travel[i, who.end] * SCALE
                    best_next = -1
                for j in members:
                    leg = travel[i, j]
                    if i == j or leg >= UNREACHABLE_S or now + leg > nodes[j].closes:
                        continue
                    if lunch == 0:
                        before, after = forward(who, nodes, windows, now, LATE, leg, j)
                    else:
                        before, after = forward(who, nodes, windows, LATE, now, leg, j)
                    rest = UNPRICED
                    step = (before - who.shift_from) // step_s
                    if step < steps:
                        rest = least[0, j, step]
                        if following[0, j, step] == i:
                            rest = second[0, j, step]
                    step = (after - who.shift_from) // step_s
                    if step < steps:
                        of_after = least[1, j, step]
                        if following[1, j, step] == i:
                            of_after = second[1, j, step]
                        rest = min(rest, of_after)
                    if rest >= UNPRICED:
                        continue
                    rest += leg * SCALE - gain[j]
                    if rest < best:
                        other = best
                        best = rest
                        best_next = j
                    elif rest < other:
                        other = rest
                least[lunch, i, s] = best
                following[lunch, i, s] = best_next
                second[lunch, i, s] = other


@compiled
def rest_of(
    who: Driver,
    least: Ints,
    following: Ints,
    second: Ints,
    step_s: int,
    node: int,
    before: int,
    after: int,
    came_from: int,
) -> int:
    """Return the least price of the rest of a route that leaves a node with two clocks."""
    steps = least.shape[2]
    rest = UNPRICED
    step = (before - who.shift_from) // step_s
    if step < steps:
        rest = least[0, node, step]
        if following[0, node, step] == came_from:
            rest = second[0, node, step]
    step = (after - who.shift_from) // step_s
    if step < steps:
        of_after = least[1, node, step]
        if following[1, node, step] == came_from:
            of_after = second[1, node, step]
        rest = min(rest, of_after)
    return int(rest)


@compiled
def least_route(
    nodes: Rows[Node],
    windows: Ints,
    travel: SmallInts,
    who: Driver,
    members: Ints,
    gain: Ints,
    step_s: int,
    least: Ints,
    following: Ints,
    second: Ints,
) -> int:
    """Return a price below which there is no route."""
    best = UNPRICED
    begin_before, begin_after = at_start(who)
    for j in members:
        leg = travel[who.start, j]
        if leg >= UNREACHABLE_S:
            continue
        before, after = forward(who, nodes, windows, begin_before, begin_after, leg, j)
        rest = rest_of(who, least, following, second, step_s, j, before, after, -2)
        if rest < UNPRICED:
            best = min(best, rest + leg * SCALE - gain[j])
    return best
