"""The season's solver: one annealing from hot to cold, after Kirkpatrick, Gelatt and Vecchi.

"Optimization by simulated annealing", Science 220, 1983. Its moves keep every visit within its
weeks, so that no plan on the way is late; a week that is too full is dear.
"""

from dataclasses import dataclass

import numpy as np

from registry.plan.ports import ProgressLine, Stop
from registry.season.problem import Season, SeasonPlan
from registry.solvers.budget import Budget, Clock, wall_clock
from registry.solvers.search.chance import chance_from
from registry.solvers.season.anneal import anneal
from registry.solvers.season.flat import Flat, State, as_plan_weeks, first_weeks, flat
from registry.solvers.season.moves import empty_state, fill

HOT_S, COLD_S = 900.0, 20.0
"""Temperatures in seconds of driving: a quarter of an hour to what nobody notices."""
STEPS = 200
"""Temperatures at least, from hot to cold."""
MOVES_A_STEP, MOVES_A_ROUND = 20_000, 1_000
STRICT_FROM, LEAST_PRICE = 0.6, 0.02
"""Work beyond a week's hours is cheap at first, so that visits can pass through a full week; its
price grows to the whole by this share of the search. Chosen, not tuned."""
TELL_EVERY = 0.1


@dataclass(frozen=True, slots=True)
class SeasonAnnealing:
    """One annealing over all visits of a year; one round is a thousand moves."""

    clock: Clock = wall_clock

    def solve(
        self,
        season: Season,
        *,
        seconds: float | None = None,
        rounds: int | None = None,
        seed: int = 1,
        start: SeasonPlan | None = None,
        progress: ProgressLine | None = None,
        stop: Stop | None = None,
    ) -> SeasonPlan:
        """Return the best weeks found; see ``SeasonSolver``."""
        budget = Budget(seconds, rounds, self.clock, stop)
        say = budget.teller(progress)
        engine = "annealing over weeks"
        if not season.jobs:
            return SeasonPlan(weeks=(), engine=engine, seed=seed)
        arrays = flat(season)
        state, chance = empty_state(arrays), chance_from(seed)
        cost_s = fill(arrays, state, first_weeks(season, start, arrays.livable))
        best, best_s = state.weeks.copy(), cost_s
        hot_s = COLD_S * 2 if start is not None else HOT_S
        anneal(arrays, state, chance, COLD_S, 0)
        budget.begin()
        say("The first weeks stand; searching for better ones.", round(cost_s))
        moves = MOVES_A_STEP if rounds is None else max(1, MOVES_A_ROUND * rounds // STEPS)
        step, told = 0, TELL_EVERY
        while budget.left() > 0:
            share = budget.share if rounds is None else step / STEPS
            lenient = max(0.0, 1 - share / STRICT_FROM) if start is None else 0.0
            eased = arrays._replace(over_s=arrays.over_s * LEAST_PRICE**lenient)
            eased_s = cost_s - (arrays.over_s - eased.over_s) * _over_s(arrays, state)
            warm_s = hot_s * (COLD_S / hot_s) ** share
            eased_s += anneal(eased, state, chance, warm_s, moves)
            cost_s = eased_s + (arrays.over_s - eased.over_s) * _over_s(arrays, state)
            step += 1
            budget.done = (
                step * moves // MOVES_A_ROUND if rounds is None else rounds * step // STEPS
            )
            if cost_s < best_s:
                best, best_s = state.weeks.copy(), cost_s
            if budget.share >= told:
                say(f"{told:.0%} of the search done.", round(best_s))
                told += TELL_EVERY
        return SeasonPlan(
            weeks=as_plan_weeks(best),
            engine=engine,
            rounds=budget.done,
            seconds=budget.elapsed,
            seed=seed,
        )


def _over_s(arrays: Flat, state: State) -> float:
    """Return the work beyond what the weeks hold. [s]."""
    return float(np.maximum(state.loads_s - arrays.capacity_s, 0.0).sum())
