"""Ruin and recreate: our own search, for days as they are (lunch, windows, skills, water).

After Christiaens and Vanden Berghe, "Slack Induction by String Removals for Vehicle Routing
Problems", Transportation Science 54(2), 2020. Ours: lunch, several windows and visits left
waiting are exact in the test of an insertion, in constant time; fill stops come and go with the
visits that need them.
"""

from dataclasses import dataclass

from registry.plan.ports import ProgressLine, Stop
from registry.plan.problem import DayProblem, Solution
from registry.solvers.budget import Budget, Clock, Say, wall_clock
from registry.solvers.nothing import nothing_to_order
from registry.solvers.search.annealing import Temper
from registry.solvers.search.run import Run

HOT, COLD = 2.5, 0.2
"""Temperatures in mean drives; found by trial on days of 60 and 150 visits."""
AVERAGE_REMOVED = 6.0
LONGEST_STRING = 10
BLINK_SHARE = 0.01
REACH_OUT = 10


def temper(scale: float, hot: float = HOT, cold: float = COLD) -> Temper:
    """Return the settings of an annealing between two temperatures, given in mean drives."""
    return Temper(
        hot=hot * scale,
        cold=cold * scale,
        share_from=0.0,
        share_to=1.0,
        average_removed=AVERAGE_REMOVED,
        longest=LONGEST_STRING,
        blink=BLINK_SHARE,
        reach_out=REACH_OUT,
    )


def start_run(problem: DayProblem, seed: int, most_seen: int, say: Say) -> Run:
    """Return a search with its first plan; says so first, as machine code may have to be made."""
    say("Making the first plan (on a machine's first run the search is compiled, some 15 s).", None)
    return Run(problem, seed, most_seen)


@dataclass(frozen=True, slots=True)
class RuinRecreateSolver:
    """One annealing from a greedy plan; one round is one ruin with its recreate."""

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
        engine = "ruin and recreate"
        if (empty := nothing_to_order(problem, engine)) is not None:
            return empty

        say = budget.teller(progress)
        run = start_run(problem, seed, 1, say)
        budget.begin()
        say("The first plan stands; searching for better ones.", run.cost)
        run.cool(temper(run.scale), budget, 1.0, lambda cost: say("Found a better plan.", cost))
        return Solution(
            routes=run.best_routes(), engine=engine, rounds=budget.done, seconds=budget.elapsed
        )
