"""The port of the season: whatever can choose the weeks of a year's visits."""

from typing import Protocol

from registry.plan.ports import ProgressLine, Stop
from registry.season.problem import Season, SeasonPlan


class SeasonSolver(Protocol):
    """Whatever can choose the weeks of a year's visits."""

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
        """Return the best weeks found.

        Parameters
        ----------
        season
            The year.
        seconds, rounds
            How long to search; exactly one of the two. With rounds the same seed gives the same
            plan on every machine.
        seed
            Of the search.
        start
            A plan to begin from; None = a plain first plan.
        progress
            Called with sentences about how the search goes.
        stop
            Asked while the search goes on; once it says true, the best plan so far is returned.

        Returns
        -------
        SeasonPlan
            Nothing in it is late, too early or in a barred week; a week is too full only where the
            search found no room. Trust it only once ``registry.season.check`` has looked at it.

        Raises
        ------
        PlanError
            If a job has no week at all, or neither or both of ``seconds`` and ``rounds`` are given.
        """
        ...
