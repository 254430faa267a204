"""How hot a search runs, for how long, and how often its routes are mixed: figures found by trial.

On a day with more work than fits the search weighs visits against each other; where all visits
must be made, as on the published instances, only the driving counts, and much less heat does.
"""

import math
from dataclasses import dataclass, replace

from registry.plan.problem import DayProblem
from registry.solvers.ruin_recreate import temper
from registry.solvers.search.annealing import Temper


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """The course of a search; temperatures in mean drives.

    The first annealing goes from ``hot`` to ``cold`` within ``first_share`` of the effort, or one
    stretch if that is more; each later one from ``warm`` to ``cool`` within about a stretch, which
    is ``stretch_s`` (or ``stretch_rounds``) at 60 visits and grows with the visits to the power
    1.5. ``removed`` visits come out in a round on average, in strings of up to ``longest``.
    """

    hot: float = 2.5
    cold: float = 0.05
    warm: float = 0.6
    cool: float = 0.03
    first_share: float = 0.2
    stretch_s: float = 0.8
    stretch_rounds: int = 40_000
    removed: float = 6.0
    longest: int = 10

    def temper(self, scale: float, hot: float, cold: float) -> Temper:
        """Return the settings of one annealing between two temperatures."""
        settings = temper(scale, hot, cold)
        return settings._replace(average_removed=self.removed, longest=self.longest)

    def begun_at(self, share: float) -> "Schedule":
        """Return the same course begun at a share of its heat; it ends where it did."""
        return replace(self, hot=share * self.hot, warm=share * self.warm)


SERVICE_DAY = Schedule()
PLAIN_DAY = Schedule(
    hot=1.0, cold=0.01, warm=0.7, cool=0.01, removed=10.0, stretch_s=1.6, stretch_rounds=80_000
)
LARGE_PLAIN_DAY = replace(
    PLAIN_DAY, hot=0.1, warm=0.1, removed=15.0, first_share=0.4, stretch_s=2.5
)
LARGE_VISITS = 150
USUAL_VISITS = 60


def is_plain(problem: DayProblem) -> bool:
    """Tell whether all visits must be made and nobody lunches or fills a tank."""
    return all(visit.required for visit in problem.visits) and all(
        who.lunch is None and who.tank_gal is None for who in problem.technicians
    )


def schedule_for(problem: DayProblem) -> Schedule:
    """Return the course for a day.

    In the same seconds a larger day can be cooled less slowly, so it starts cooler: with twice the
    visits at half the heat. All days end equally cold, where hardly anything dearer is kept.
    """
    visits = len(problem.visits)
    if not is_plain(problem):
        return SERVICE_DAY.begun_at(min(1.0, USUAL_VISITS / max(visits, 1)))
    return LARGE_PLAIN_DAY if visits >= LARGE_VISITS else PLAIN_DAY


def grown(visits: int) -> float:
    """Return how much longer a stretch is than at 60 visits."""
    return math.pow(max(visits, 20) / USUAL_VISITS, 1.5)
