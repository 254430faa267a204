"""The engine that orders a day: search, mix all routes seen, search on from the mix.

Stretches of ruin and recreate alternate with an integer program over every route that the search
came across; the prices of its linear program tell the next stretch which routes are worth
noting.
"""

from collections.abc import Callable
from dataclasses import dataclass

from registry.plan.ports import ProgressLine, Stop
from registry.plan.problem import DayProblem, Solution
from registry.solvers.budget import Budget, Clock, wall_clock
from registry.solvers.mixer import Mixer
from registry.solvers.nothing import nothing_to_order
from registry.solvers.pool import Effort, seconds_for_prices
from registry.solvers.ruin_recreate import start_run
from registry.solvers.schedule import Schedule, grown, schedule_for
from registry.solvers.search.run import Run

MOST_SEEN = 300_000
MIX_SHARE, MIX_DETERMINISTIC = 0.06, 1.0
"""What one integer program may take: a share of the seconds, or CP-SAT's own measure."""
LONGEST_MIX_S = 5.0
"""An integer program cannot be broken off, so no search that is stopped waits longer than this."""
MOST_FOR_PRICES = 0.15
"""Share of the seconds above which the linear program is not worth its time."""
STRETCH_PER_MIX = 5.0
"""A stretch of the search takes at least so many times as long as the mix that follows it."""

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
        stop: Stop | None = None,
    ) -> Solution:
        """Return the best routes found; see ``RouteSolver``."""
        budget = Budget(seconds, rounds, self.clock, stop)
        engine = "ruin and recreate, routes mixed by CP-SAT"
        if (empty := nothing_to_order(problem, engine)) is not None:
            return empty

        say = budget.teller(progress)
        run = start_run(problem, seed, MOST_SEEN, say)
        budget.begin()
        say("The first plan stands; searching for better ones.", run.cost)
        mixer = Mixer(run)

        def tell(cost: int) -> None:
            say("Found a better plan.", cost)

        course = schedule_for(problem)
        if mix_share(run, budget) is None:
            run.cool(course.temper(run.scale, course.hot, course.cold), budget, 1.0, tell)
        else:
            search_and_mix(run, mixer, budget, course, tell)
        return Solution(
            routes=run.best_routes(), engine=engine, rounds=budget.done, seconds=budget.elapsed
        )


def mix_share(run: Run, budget: Budget) -> float | None:
    """Return the share of the budget that one mix may need, None if it needs too much of it."""
    if budget.seconds is None:
        return 0.0
    rows = len(run.problem.visits) + len(run.problem.technicians)
    prices = seconds_for_prices(rows) / budget.seconds
    return None if prices > MOST_FOR_PRICES else MIX_SHARE + prices


def mix(run: Run, mixer: Mixer, budget: Budget, tell: Tell) -> float:
    """Mix the routes seen; return the share of the budget that it took."""
    before = budget.share
    if before >= 1.0:
        return 0.0
    if budget.seconds is None:
        effort = Effort(deterministic=MIX_DETERMINISTIC)
    else:
        most_s = min(MIX_SHARE * budget.seconds, LONGEST_MIX_S, budget.left())
        effort = Effort(seconds=budget.on_wall(max(0.05, most_s)))
    if mixer.mix(effort):
        tell(run.cost)
    return budget.share - before


def search_and_mix(run: Run, mixer: Mixer, budget: Budget, course: Schedule, tell: Tell) -> None:
    """Anneal from hot to cold once, then again and again from the best mix.

    A stretch that found nothing is followed by one from an empty plan, for routes of another kind.
    """
    scale, size = run.scale, grown(len(run.problem.visits))
    if budget.seconds is None:
        stretch = course.stretch_rounds * size / (budget.rounds or 1)
    else:
        stretch = course.stretch_s * size / budget.seconds
    mixing = mix_share(run, budget) or 0.0
    first = max(course.first_share, stretch) if stretch < 0.5 else 1 - mixing
    middle = (course.hot * course.cold) ** 0.5
    run.cool(course.temper(scale, course.hot, middle), budget, first / 2, tell)
    mixer.note_worthwhile()
    run.cool(course.temper(scale, middle, course.cold), budget, first, tell)
    mixing = mix(run, mixer, budget, tell)
    stuck = False
    while (left := 1.0 - budget.share) > stretch / 4:
        known = run.cost
        to_come = max(1, round(left / (max(stretch, STRETCH_PER_MIX * mixing) + mixing)))
        upto = budget.share + max(left / to_come - mixing, left / 2 / to_come)
        if stuck:
            run.start_over()
            run.cool(course.temper(scale, course.hot, course.cold), budget, upto, tell)
        else:
            run.go_back_to_best()
            run.cool(course.temper(scale, course.warm, course.cool), budget, upto, tell)
        mixing = max(mixing / 2, mix(run, mixer, budget, tell))
        stuck = run.cost == known and not stuck
