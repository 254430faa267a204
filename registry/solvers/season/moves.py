"""Putting a job into a week and taking it out, in compiled code; the cost changes by what is near.

All return what the cost of the season changed by. [s]
"""

import numpy as np

from registry.compiled import compiled
from registry.season.near import TOUR_FACTOR, WEIGHTS
from registry.solvers.season.flat import Flat, Ints, State

WEIGHTS_S = np.array([TOUR_FACTOR * one for one in WEIGHTS])
SEEN = len(WEIGHTS)


@compiled
def _drive_s(state: State, job: int, week: int) -> float:
    """Return the part of a week's tour that falls to a job. [s]."""
    drive_s = 0.0
    for k in range(SEEN):
        drive_s += WEIGHTS_S[k] * state.nearest_s[job, week, k]
    return drive_s


@compiled
def _look(flat: Flat, state: State, job: int, week: int) -> None:
    """Find the nearest of a job in a week; lists are by distance, so the first found are enough."""
    yard_s = flat.yard_s[job]
    found = 0
    for at in range(flat.begins[job], flat.begins[job + 1]):
        if found == SEEN or flat.near_s[at] >= yard_s:
            break
        if state.weeks[flat.near[at]] >> week & 1:
            state.nearest_s[job, week, found] = flat.near_s[at]
            found += 1
    for k in range(found, SEEN):
        state.nearest_s[job, week, k] = yard_s


@compiled
def _work(flat: Flat, state: State, job: int, week: int, sign: int) -> float:
    """Add or take a job's work in the pools that it counts in."""
    changed_s = 0.0
    for pool in range(len(flat.in_pool)):
        if flat.in_pool[pool, flat.crew[job]]:
            before = state.loads_s[pool, week]
            after = before + sign * flat.load_s[job]
            holds = flat.capacity_s[pool, week]
            changed_s += flat.over_s * (max(after - holds, 0.0) - max(before - holds, 0.0))
            uneven = (after * after - before * before) / flat.level_s[pool]
            changed_s += flat.even_share * uneven
            state.loads_s[pool, week] = after
    return changed_s


@compiled
def put(flat: Flat, state: State, job: int, week: int) -> float:
    """Put a job into a week in which it is not."""
    _look(flat, state, job, week)
    nearest = state.nearest_s
    changed_s: float = _drive_s(state, job, week) + flat.visit_s[job]
    for at in range(flat.begins[job], flat.begins[job + 1]):
        other, way = flat.near[at], flat.near_s[at]
        if state.weeks[other] >> week & 1 and way < nearest[other, week, SEEN - 1]:
            changed_s -= _drive_s(state, other, week)
            k = SEEN - 1
            while k > 0 and nearest[other, week, k - 1] > way:
                nearest[other, week, k] = nearest[other, week, k - 1]
                k -= 1
            nearest[other, week, k] = way
            changed_s += _drive_s(state, other, week)
    state.weeks[job] |= 1 << week
    return changed_s + _work(flat, state, job, week, 1)


@compiled
def take(flat: Flat, state: State, job: int, week: int) -> float:
    """Take a job out of a week in which it is."""
    state.weeks[job] &= ~(1 << week)
    changed_s: float = -_drive_s(state, job, week) - flat.visit_s[job]
    for at in range(flat.begins[job], flat.begins[job + 1]):
        other = flat.near[at]
        seen = flat.near_s[at] <= state.nearest_s[other, week, SEEN - 1]
        if seen and state.weeks[other] >> week & 1:
            changed_s -= _drive_s(state, other, week)
            _look(flat, state, other, week)
            changed_s += _drive_s(state, other, week)
    return changed_s + _work(flat, state, job, week, -1)


@compiled
def own_price(flat: Flat, job: int, weeks: int) -> float:
    """Return what the weeks of a job cost by themselves: early, late, moved."""
    left = flat.kept[job] & ~weeks
    moved = 0
    while left:
        left &= left - 1
        moved += 1
    price = float(moved * flat.keep_s[job])
    before = -1
    for week in range(flat.n_weeks):
        if weeks >> week & 1:
            if before < 0:
                price += flat.early_s[job] * max(0, flat.first[job, 2] - week)
                price += flat.late_s[job] * week
            else:
                price += flat.early_s[job] * max(0, flat.step[job, 2] - (week - before))
            before = week
    return price


@compiled
def change(flat: Flat, state: State, job: int, weeks: int) -> float:
    """Give a job other weeks."""
    before = state.weeks[job]
    changed_s = own_price(flat, job, weeks) - own_price(flat, job, before)
    for week in range(flat.n_weeks):
        if (before & ~weeks) >> week & 1:
            changed_s += take(flat, state, job, week)
    for week in range(flat.n_weeks):
        if (weeks & ~before) >> week & 1:
            changed_s += put(flat, state, job, week)
    return changed_s


@compiled
def fill(flat: Flat, state: State, weeks: Ints) -> float:
    """Put all jobs into their weeks, from an empty state; return the cost."""
    cost_s = 0.0
    for job in range(len(weeks)):
        cost_s += own_price(flat, job, 0) + change(flat, state, job, weeks[job])
    return cost_s


@compiled
def _near_to(flat: Flat, job: int, wanted: int, low: int, high: int) -> int:
    """Return the week from low to high, livable, that is nearest to a wanted one; -1 = none."""
    best = -1
    for week in range(max(low, 0), min(high, flat.n_weeks - 1) + 1):
        if flat.livable[job] >> week & 1 and (best < 0 or abs(week - wanted) < abs(best - wanted)):
            best = week
    return best


@compiled
def moved(flat: Flat, job: int, weeks: int, which: int, wanted: int) -> int:
    """Return a job's weeks with one visit moved near to a week, and those after it as it asks.

    Later visits stay where they may, else they go to the nearest week that is open to them; fewer
    or more of them follow as the year has room. 0 = the visit cannot be moved there.
    """
    answer, count, before = 0, 0, -1
    low, high = flat.first[job, 0], flat.first[job, 1]
    for week in range(flat.n_weeks):
        if count == which:
            break
        if weeks >> week & 1:
            answer |= 1 << week
            before = week
            count += 1
            low, high = before + flat.step[job, 0], before + flat.step[job, 1]
    goal = wanted
    while True:
        week = _near_to(flat, job, goal, low, high)
        if week < 0:
            return 0
        answer |= 1 << week
        low, high = week + flat.step[job, 0], week + flat.step[job, 1]
        if high >= flat.n_weeks:
            return answer
        goal = high
        for later in range(max(low - 2, week + 1), min(high + 2, flat.n_weeks - 1) + 1):
            if weeks >> later & 1:
                goal = later
                break


def empty_state(flat: Flat) -> State:
    """Return a state in which no job has a week."""
    n = len(flat.crew)
    return State(
        weeks=np.zeros(n, dtype=np.int64),
        nearest_s=np.zeros((n, flat.n_weeks, SEEN), dtype=np.float32),
        loads_s=np.zeros((len(flat.in_pool), flat.n_weeks)),
    )
