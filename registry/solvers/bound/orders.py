"""Compiled: all orders of a few visits, beginning by beginning."""

import numpy as np

from registry.compiled import compiled
from registry.plan.problem import UNREACHABLE_S
from registry.solvers.clocks import LATE, at_end, at_start, backward, forward
from registry.solvers.rows import Driver, Flags, Floats, Ints, Node, Rows

NO_PARENT = -1


@compiled
def best_beginning(
    nodes: Rows[Node],
    windows: Ints,
    travel: Ints,
    who: Driver,
    visits: int,
    water: Floats,
    septage: Floats,
    empties: Flags,
    tanks: Floats,
    below_s: int,
    most: int,
) -> tuple[int, Ints, Ints, bool]:
    """Return the shortest order of all visits that drives less than ``below_s`` seconds.

    Nodes are the visits, the fill points, the start, the end. ``tanks`` are water used and septage
    aboard at the start, then the room for each. Returns the last beginning of the best order
    (-1 if there is none), for each beginning the visit made last and the fill point before it (-1 =
    none), its parent, and whether all were looked at.
    """
    drive = np.empty(most, np.int64)
    before = np.empty(most, np.int64)
    after = np.empty(most, np.int64)
    used = np.empty(most)
    aboard = np.empty(most)
    came_by = np.full((most, 2), -1, np.int64)
    parents = np.full(most, NO_PARENT, np.int64)
    following = np.full(most, -1, np.int64)
    heads = np.full((1 << visits, visits + 1), -1, np.int64)
    fills = len(empties)
    home_leg = travel[:, len(nodes) - 1]
    inward = np.zeros(visits + 1, np.int64)  # the shortest drive to each stop still to come
    for j in range(visits):
        inward[j] = UNREACHABLE_S
        for i in range(len(nodes) - 1):
            if i != j:
                inward[j] = min(inward[j], travel[i, j])
    inward[visits] = home_leg[: len(nodes) - 2].min()
    drive[0] = 0
    before[0], after[0] = at_start(who)
    end_before, end_after = at_end(who)
    used[0] = tanks[0]
    aboard[0] = tanks[1]
    heads[0, visits] = 0
    count = 1
    best = below_s
    best_at = -1
    everything = (1 << visits) - 1
    for made in range(1 << visits):
        to_come = inward[visits]
        for j in range(visits):
            if not made >> j & 1:
                to_come += inward[j]
        for last in range(visits + 1):
            at = heads[made, last]
            here = last if last < visits else len(nodes) - 2
            while at != -1:
                if made == everything:
                    leg = home_leg[here]
                    home_before, home_after = backward(who, end_before, end_after, leg)
                    in_time = before[at] <= home_before or after[at] <= home_after
                    if in_time and drive[at] + leg < best:
                        best = drive[at] + leg
                        best_at = at
                elif drive[at] + to_come < best:
                    for j in range(visits):
                        if made >> j & 1:
                            continue
                        for fill in range(-1, fills):
                            leg = travel[here, j]
                            b, a = before[at], after[at]
                            u, s = used[at], aboard[at]
                            gone = 0
                            if fill >= 0:
                                point = visits + fill
                                gone = travel[here, point]
                                leg = travel[point, j]
                                if gone >= UNREACHABLE_S:
                                    continue
                                b, a = forward(who, nodes, windows, b, a, gone, point)
                                if empties[fill]:
                                    s = 0.0
                                else:
                                    u = 0.0
                            u += water[j]
                            s += septage[j]
                            total = drive[at] + gone + leg
                            if (
                                leg >= UNREACHABLE_S
                                or u > tanks[2]
                                or s > tanks[3]
                                or total + to_come - inward[j] >= best
                            ):
                                continue
                            b, a = forward(who, nodes, windows, b, a, leg, j)
                            if b >= LATE and a >= LATE:
                                continue
                            now = made | 1 << j
                            other = heads[now, j]
                            worse = False
                            while other != -1 and not worse:
                                worse = (
                                    drive[other] <= total
                                    and before[other] <= b
                                    and after[other] <= a
                                    and used[other] <= u
                                    and aboard[other] <= s
                                )
                                other = following[other]
                            if worse:
                                continue
                            if count >= most:
                                return best_at, came_by, parents, False
                            drive[count], before[count], after[count] = total, b, a
                            used[count], aboard[count] = u, s
                            came_by[count, 0] = j
                            came_by[count, 1] = -1 if fill < 0 else visits + fill
                            parents[count] = at
                            following[count] = heads[now, j]
                            heads[now, j] = count
                            count += 1
                at = following[at]
    return best_at, came_by, parents, True
