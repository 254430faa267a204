"""Annealing over the weeks: a visit goes to a week in which a neighbour is, or to any."""

import numpy as np

from registry.compiled import compiled
from registry.solvers.search.chance import Chance, drawn, drawn_below
from registry.solvers.season.flat import Flat, Ints, State
from registry.solvers.season.moves import change, moved

TO_NEIGHBOUR = 0.8
"""Share of the moves that go where a neighbour is; the rest go to any week. Chosen, not tuned."""
TOGETHER, IN_EXCHANGE = 0.1, 0.2
"""Shares of the moves that take neighbours of the same week along, or send one back for it."""
MOST_ALONG = 12
JOB, FROM, TO, BEFORE = range(4)
"""Columns of a move: which job, from which week, to which, and all its weeks before."""


@compiled
def _random_visit(chance: Chance, weeks: int) -> int:
    """Return the number of one visit of a job, at random."""
    count, left = 0, weeks
    while left:
        left &= left - 1
        count += 1
    return drawn_below(chance, count)


@compiled
def _week_of(flat: Flat, weeks: int, which: int) -> int:
    """Return the week of a job's visit by its number."""
    count = 0
    for week in range(flat.n_weeks):
        if weeks >> week & 1:
            if count == which:
                return week
            count += 1
    return -1


@compiled
def _goal(flat: Flat, state: State, job: int, chance: Chance) -> int:
    """Return a week to move a visit to: one of a near neighbour's, or any."""
    count = flat.begins[job + 1] - flat.begins[job]
    if count > 0 and drawn(chance) < TO_NEIGHBOUR:
        other = flat.near[flat.begins[job] + int(count * drawn(chance) ** 3)]
        return _week_of(flat, state.weeks[other], _random_visit(chance, state.weeks[other]))
    return drawn_below(chance, flat.n_weeks)


@compiled
def _along(flat: Flat, state: State, chance: Chance, move: Ints) -> int:
    """Add to a move the nearest jobs of the same week; return how many go."""
    count, wanted = 1, 2 + drawn_below(chance, MOST_ALONG)
    for at in range(flat.begins[move[0, JOB]], flat.begins[move[0, JOB] + 1]):
        if count == wanted:
            break
        if state.weeks[flat.near[at]] >> move[0, FROM] & 1:
            move[count, JOB] = flat.near[at]
            move[count, FROM], move[count, TO] = move[0, FROM], move[0, TO]
            count += 1
    return count


@compiled
def _back(flat: Flat, state: State, chance: Chance, move: Ints) -> int:
    """Add to a move a job that comes back from the week it goes to; return how many go."""
    begins = flat.begins[move[0, JOB]]
    count = flat.begins[move[0, JOB] + 1] - begins
    first = drawn_below(chance, count) if count else 0
    for at in range(count):
        other = flat.near[begins + (first + at) % count]
        if state.weeks[other] >> move[0, TO] & 1:
            move[1, JOB], move[1, FROM], move[1, TO] = other, move[0, TO], move[0, FROM]
            return 2
    return 1


@compiled
def _drawn_move(flat: Flat, state: State, chance: Chance, move: Ints) -> int:
    """Draw a move; return how many jobs go, 0 where nothing would change."""
    job = drawn_below(chance, len(flat.crew))
    which = _random_visit(chance, state.weeks[job])
    move[0, JOB], move[0, FROM] = job, _week_of(flat, state.weeks[job], which)
    move[0, TO] = _goal(flat, state, job, chance)
    if move[0, TO] == move[0, FROM]:
        return 0
    draw = drawn(chance)
    if draw < TOGETHER:
        return _along(flat, state, chance, move)
    if draw < TOGETHER + IN_EXCHANGE:
        return _back(flat, state, chance, move)
    return 1


@compiled
def _make(flat: Flat, state: State, move: Ints, going: int) -> tuple[float, int]:
    """Make a move; return what the cost changed by, and how many jobs have other weeks now."""
    changed_s, changed = 0.0, 0
    for i in range(going):
        job, old = move[i, JOB], state.weeks[move[i, JOB]]
        number = 0
        for week in range(move[i, FROM]):
            number += old >> week & 1
        new = moved(flat, job, old, number, move[i, TO])
        if new and new != old:
            changed_s += change(flat, state, job, new)
            move[changed, JOB], move[changed, BEFORE] = job, old
            changed += 1
    return changed_s, changed


@compiled
def anneal(flat: Flat, state: State, chance: Chance, warm_s: float, moves: int) -> float:
    """Make random moves at one temperature; return what the cost changed by. [s]."""
    move = np.zeros((MOST_ALONG + 1, 4), np.int64)
    sum_s = 0.0
    for _ in range(moves):
        going = _drawn_move(flat, state, chance, move)
        changed_s, changed = _make(flat, state, move, going)
        if changed_s <= 0 or drawn(chance) < np.exp(-changed_s / warm_s):
            sum_s += changed_s
        else:
            for i in range(changed - 1, -1, -1):
                change(flat, state, move[i, JOB], move[i, BEFORE])
    return sum_s
