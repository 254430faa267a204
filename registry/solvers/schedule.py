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

    The first annealing goes from ``hot`` to ``cold`` within ``first_share`` of the effort, each
    later one from ``warm`` to ``cool`` within about ``stretch_s`` (or ``stretch_rounds``) at 60
    visits, which grows with the visits to the power 1.5. ``removed`` visits come out in a round on
    average, in strings of up to ``longest``.
    """

    hot: float = 2.5
    cold: float = 0.2
    warm: float = 1.0
    cool: float = 0.12
    first_share: float = 0.4
    stretch_s: float = 2.5
    stretch_rounds: int = 100_000
    removed: float = 6.0
    longest: int = 10

    def temper(self, scale: float, hot: float, cold: float) -> Temper:
        """Return the settings of one annealing between two temperatures."""
        settings = temper(scale, hot, cold)
        return settings._replace(average_removed=self.removed, longest=self.longest)


SERVICE_DAY = Schedule()
PLAIN_DAY = Schedule(hot=0.3, cold=0.01, warm=0.1, cool=0.01, removed=10.0)
MANY_STOPS = Schedule(hot=1.0, cold=0.01, warm=0.3, cool=0.01, removed=10.0, longest=20)
"""For plain days of long routes, where the number of routes is the hard part."""
MANY_STOPS_EACH = 15.0
MANY_VISITS = 150
"""From here on a plain day gains by taking more visits out in a round."""


def is_plain(problem: DayProblem) -> bool:
    """Tell whether all visits must be made and nobody lunches or fills a tank."""
    return all(visit.required for visit in problem.visits) and all(
        who.lunch is None and who.tank_gal is None for who in problem.technicians
    )


def schedule_for(problem: DayProblem, stops_each: float) -> Schedule:
    """Return the course for a day whose first plan has so many stops on a route."""
    if not is_plain(problem):
        return SERVICE_DAY
    if stops_each > MANY_STOPS_EACH:
        return MANY_STOPS
    if len(problem.visits) >= MANY_VISITS:
        return replace(PLAIN_DAY, removed=15.0)
    return PLAIN_DAY


def grown(visits: int) -> float:
    """Return how much longer a stretch is than at 60 visits."""
    return math.pow(max(visits, 20) / 60, 1.5)
