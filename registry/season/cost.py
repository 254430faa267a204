"""What a season costs, in seconds of driving, worked out anew from the problem.

The driving of a week is the tour through its stops and the ways between yard and area: Daganzo,
"The distance traveled to visit N points with a maximum of C stops per vehicle", Transportation
Science 18(4), 1984. The tour is estimated from the two nearest stops of each (``season.near``), so
that stops on one road are cheap and a lone one is dear; the ways are ``Job.day_drive_s`` each.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from registry.season.near import TOUR_FACTOR
from registry.season.problem import Job, Season, SeasonPlan

type Weeks = Sequence[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonCost:
    """The parts of a season's cost. [s of driving]."""

    drive_s: float
    early_s: float
    late_s: float
    moved_s: float
    over_s: float
    uneven_s: float

    @property
    def total_s(self) -> float:
        """The sum of all parts."""
        work_s = self.over_s + self.uneven_s
        return self.drive_s + self.early_s + self.late_s + self.moved_s + work_s


def season_cost(season: Season, plan: SeasonPlan) -> SeasonCost:
    """Return what a plan costs."""
    loads = loads_s(season, plan)
    capacity = np.array([one.capacity_s for one in season.pools], float).reshape(loads.shape)
    over = np.maximum(loads - capacity, 0.0)
    filled = np.divide(loads, capacity, out=np.zeros_like(loads), where=capacity > 0)
    pairs = list(zip(season.jobs, plan.weeks, strict=True))
    return SeasonCost(
        drive_s=sum(week_drives_s(season, plan)),
        early_s=float(sum(early_s(job, weeks) for job, weeks in pairs)),
        late_s=float(sum(job.late_s * weeks[0] for job, weeks in pairs if job.late)),
        moved_s=float(sum(moved_s(job, weeks) for job, weeks in pairs)),
        over_s=float(season.over_s * over.sum()),
        uneven_s=float(season.even_percent / 200 * (filled * loads).sum()),
    )


def week_drives_s(season: Season, plan: SeasonPlan) -> list[float]:
    """Return the estimated driving of each week, arrivals included. [s]."""
    members = np.zeros((season.n_weeks, len(season.jobs)), dtype=bool)
    for at, weeks in enumerate(plan.weeks):
        members[list(weeks), at] = True
    return [
        sum(
            TOUR_FACTOR * sum(two_nearest_s(season, int(at), here)) / 2
            + season.jobs[at].day_drive_s
            for at in np.flatnonzero(here)
        )
        for here in members
    ]


def two_nearest_s(
    season: Season, at: int, here: "np.typing.NDArray[np.bool_]"
) -> tuple[float, float]:
    """Return the ways to the two nearest jobs among some; the yard stands in for those beyond it.

    A way to the yard counts there and back, for the yard has no neighbours of its own.
    """
    yard_s = float(season.near.yard_s[at])
    points, drive_s = season.near.of(at)
    found = drive_s[here[points]][:2].tolist()
    first, second = (min(one, yard_s) for one in (*found, yard_s, yard_s)[:2])
    return first, second


def early_s(job: Job, weeks: Weeks) -> int:
    """Return what visits earlier than the free share of the interval cost. [s]."""
    gaps = [after - before for before, after in pairwise(weeks)]
    early = max(0, job.first_free - weeks[0]) + sum(max(0, job.step_free - gap) for gap in gaps)
    return job.early_s * early


def moved_s(job: Job, weeks: Weeks) -> int:
    """Return what leaving weeks that stood costs. [s]."""
    return job.keep_s * (job.kept & ~sum(1 << week for week in weeks)).bit_count()


def loads_s(season: Season, plan: SeasonPlan) -> "np.typing.NDArray[np.float64]":
    """Return the work of each pool in each week, shape (pools, weeks). [s]."""
    by_crew = np.zeros((max((job.crew for job in season.jobs), default=0) + 1, season.n_weeks))
    for job, weeks in zip(season.jobs, plan.weeks, strict=True):
        for week in weeks:
            by_crew[job.crew, week] += job.load_s
    rows = [
        sum((by_crew[crew] for crew in pool.crews if crew < len(by_crew)), np.zeros(season.n_weeks))
        for pool in season.pools
    ]
    return np.array(rows).reshape(len(season.pools), season.n_weeks)


def evenness(loads: "np.typing.NDArray[np.float64]") -> float:
    """Return how unlike the weeks of a row are: standard deviation over mean, 0 = all alike."""
    mean = float(loads.mean()) if loads.size else 0.0
    return float(loads.std()) / mean if mean else 0.0


def least_drive_s(season: Season) -> float:
    """Return a bound that no season's estimated driving can pass below. [s].

    Each job in the week in which, if all came that could, its two nearest would be nearest; as
    often as it must be visited at least. Weeks hold any amount here, so the bound is a loose one.
    """
    reach = [job.allowed for job in season.jobs]
    masks = np.array(reach, dtype=np.uint64)
    total = 0.0
    for at, job in enumerate(season.jobs):
        best = min(
            sum(two_nearest_s(season, at, (masks >> np.uint64(week) & np.uint64(1)).astype(bool)))
            for week in range(season.n_weeks)
            if job.allowed >> week & 1
        )
        total += fewest_visits(job, season.n_weeks) * (TOUR_FACTOR * best / 2 + job.day_drive_s)
    return total


def fewest_visits(job: Job, n_weeks: int) -> int:
    """Return how often a job is visited in a year at least: always as late as may be."""
    week, count = job.first_to, 1
    while job.step_to is not None and week + job.step_to < n_weeks:
        week, count = week + job.step_to, count + 1
    return count
