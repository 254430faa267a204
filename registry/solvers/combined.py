"""The engine that orders a day: search, mix all routes seen, search on from the mix.

Stretches of ruin and recreate alternate with an integer program over every route that the search
came across; the prices of its linear program tell the next stretch which routes are worth
noting.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from registry.plan.ports import Progress, ProgressLine
from registry.plan.problem import DayProblem, Solution
from registry.solvers.budget import Budget, Clock, wall_clock
from registry.solvers.mixer import Mixer
from registry.solvers.nothing import nothing_to_order
from registry.solvers.pool import Effort, seconds_for_prices
from registry.solvers.ruin_recreate import COLD, HOT, start_run, temper
from registry.solvers.search.run import Run

MOST_SEEN = 300_000
FIRST_SHARE = 0.4
"""Share of the effort for the first annealing; the later stretches share the rest evenly."""
WARM, COOL = 1.0, 0.12
"""Temperatures of the later stretches, in mean drives."""
STRETCH_S, STRETCH_ROUNDS = 2.5, 100_000
"""Length of a later stretch at 60 visits; grows with the visits to the power 1.5."""
MIX_SHARE, MIX_DETERMINISTIC = 0.06, 1.0
"""What one integer program may take: a share of the seconds, or CP-SAT's own measure."""
MOST_FOR_PRICES = 0.15
"""Share of the seconds above which the linear program is not worth its time."""

type Tell = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class CombinedSolver:
    """The engine behind ``riserway plan``; a round is a round of ruin and recreate."""

    clock: Clock = wall_clock

    def solve(
        self,
        problem: DayProblem,
        *,
        seconds: float | None = None,
        rounds: int | None = None,
        seed: int = 1,
        progress: ProgressLine | None = None,
    ) -> Solution:
        """Return the best routes found; see ``RouteSolver``."""
        budget = Budget(seconds, rounds, self.clock)
        engine = "ruin and recreate, routes mixed by CP-SAT"
        if (empty := nothing_to_order(problem, engine)) is not None:
            return empty

        def say(text: str, cost: int | None = None) -> None:
            if progress is not None:
                progress(Progress(text=text, seconds=budget.elapsed, rounds=budget.done, cost=cost))

        run = start_run(problem, seed, MOST_SEEN, say)
        budget.begin()
        say("The first plan stands; searching for better ones.", run.cost)
        mixer = Mixer(run)

        def tell(cost: int) -> None:
            say("Found a better plan.", cost)

        search_day(run, mixer, budget, tell)
        return Solution(
            routes=run.best_routes(), engine=engine, rounds=budget.done, seconds=budget.elapsed
        )


def is_plain(problem: DayProblem) -> bool:
    """Tell whether all visits must be made and nobody lunches or fills a tank."""
    return all(visit.required for visit in problem.visits) and all(
        who.lunch is None and who.tank_gal is None for who in problem.technicians
    )


def mix_effort(budget: Budget) -> Effort:
    """Return what one integer program may take."""
    if budget.seconds is None:
        return Effort(deterministic=MIX_DETERMINISTIC)
    return Effort(seconds=max(0.05, min(MIX_SHARE * budget.seconds, budget.left())))


def mix_share(run: Run, budget: Budget) -> float | None:
    """Return the share of the budget that one mix needs, None if it needs too much of it."""
    if budget.seconds is None:
        return 0.0
    rows = len(run.problem.visits) + len(run.problem.technicians)
    prices = seconds_for_prices(rows) / budget.seconds
    return None if prices > MOST_FOR_PRICES else MIX_SHARE + prices


def later_stretches(visits: int, budget: Budget) -> int:
    """Return how many stretches follow the first one."""
    size = math.pow(max(visits, 20) / 60, 1.5)
    if budget.rounds is not None:
        return int(budget.rounds * (1 - FIRST_SHARE) / (STRETCH_ROUNDS * size))
    seconds = budget.seconds or 0.0
    return round(seconds * (1 - FIRST_SHARE) / (STRETCH_S * size))


def search_day(run: Run, mixer: Mixer, budget: Budget, tell: Tell) -> None:
    """Anneal from hot to cold once, then again and again from the best mix.

    A stretch that found nothing is followed by one from an empty plan, for routes of another kind.
    """
    share = mix_share(run, budget)
    if share is None:
        run.cool(temper(run.scale), budget, 1.0, tell)
        return
    later = later_stretches(len(run.problem.visits), budget)
    first = FIRST_SHARE if later else 1.0 - share
    run.cool(temper(run.scale), budget, first / 2, tell)
    mixer.note_worthwhile()
    run.cool(temper(run.scale, (HOT * COLD) ** 0.5, COLD), budget, first, tell)
    if mixer.mix(mix_effort(budget)):
        tell(run.cost)
    stuck = False
    for stretch in range(later):
        known = run.cost
        to_come = later - stretch
        left = 1.0 - budget.share - share * to_come
        upto = budget.share + left / to_come
        if stuck:
            run.start_over()
            run.cool(temper(run.scale), budget, upto, tell)
        else:
            run.go_back_to_best()
            run.cool(temper(run.scale, WARM, COOL), budget, upto, tell)
        if mixer.mix(mix_effort(budget)):
            tell(run.cost)
        stuck = run.cost == known and not stuck
