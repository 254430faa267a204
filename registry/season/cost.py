"""What a season costs, in seconds of driving, worked out anew from the problem.

The driving of a week is the tour through its stops and the ways between yard and area: Daganzo,
"The distance traveled to visit N points with a maximum of C stops per vehicle", Transportation
Science 18(4), 1984. The tour is estimated from the nearest stops of each (``season.near``), so
that stops on one road are cheap and a lone one is dear; the ways are ``Job.day_drive_s`` each.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from registry.season.near import TOUR_FACTOR, WEIGHTS
from registry.season.problem import Job, Season, SeasonPlan, fewest_visits

type Weeks = Sequence[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonCost:
    """The parts of a season's cost. [s of driving].

    ``work_s`` is the work of all visits: the same in every season with as few visits as can be.
    """

    drive_s: float
    work_s: float
    early_s: float
    late_s: float
    moved_s: float
    over_s: float
    uneven_s: float

    @property
    def total_s(self) -> float:
        """The sum of all parts."""
        of_weeks_s = self.over_s + self.uneven_s
        of_jobs_s = self.work_s + self.early_s + self.late_s + self.moved_s
        return self.drive_s + of_jobs_s + of_weeks_s


def season_cost(season: Season, plan: SeasonPlan) -> SeasonCost:
    """Return what a plan costs."""
    loads = loads_s(season, plan)
    capacity = np.array([one.capacity_s for one in season.pools], float).reshape(loads.shape)
    over = np.maximum(loads - capacity, 0.0)
    level = np.array([max(1, one.level_s) for one in season.pools], float)[:, None]
    pairs = list(zip(season.jobs, plan.weeks, strict=True))
    return SeasonCost(
        drive_s=sum(week_drives_s(season, plan)),
        work_s=float(sum((job.load_s - job.day_drive_s) * len(weeks) for job, weeks in pairs)),
        early_s=float(sum(early_s(job, weeks) for job, weeks in pairs)),
        late_s=float(sum(job.late_s * weeks[0] for job, weeks in pairs if job.late)),
        moved_s=float(sum(moved_s(job, weeks) for job, weeks in pairs)),
        over_s=float(season.over_s * over.sum()),
        uneven_s=float(season.even_percent / 200 * (loads * loads / level).sum()),
    )


def week_drives_s(season: Season, plan: SeasonPlan) -> list[float]:
    """Return the estimated driving of each week, arrivals included. [s]."""
    members = np.zeros((season.n_weeks, len(season.jobs)), dtype=bool)
    for at, weeks in enumerate(plan.weeks):
        members[list(weeks), at] = True
    return [
        sum(
            stop_drive_s(season, int(at), here) + season.jobs[at].day_drive_s
            for at in np.flatnonzero(here)
        )
        for here in members
    ]


def stop_drive_s(season: Season, at: int, here: npt.NDArray[np.bool_]) -> float:
    """Return the part of a tour that falls to one job among some. [s].

    The yard stands in for neighbours beyond it; its way counts there and back, for the yard has no
    neighbours of its own.
    """
    yard_s = float(season.near.yard_s[at])
    points, drive_s = season.near.of(at)
    found = [*drive_s[here[points]][: len(WEIGHTS)].tolist(), *[yard_s] * len(WEIGHTS)]
    ways = zip(WEIGHTS, found, strict=False)
    share_s = sum(float(weight) * float(min(way, yard_s)) for weight, way in ways)
    return TOUR_FACTOR * share_s


def early_s(job: Job, weeks: Weeks) -> int:
    """Return what visits earlier than the free share of the interval cost. [s]."""
    gaps = [after - before for before, after in pairwise(weeks)]
    early = max(0, job.first_free - weeks[0]) + sum(max(0, job.step_free - gap) for gap in gaps)
    return job.early_s * early


def moved_s(job: Job, weeks: Weeks) -> int:
    """Return what leaving weeks that stood costs. [s]."""
    return job.keep_s * (job.kept & ~sum(1 << week for week in weeks)).bit_count()


def loads_s(season: Season, plan: SeasonPlan) -> npt.NDArray[np.float64]:
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


def evenness(loads: npt.NDArray[np.float64]) -> float:
    """Return how unlike the weeks of a row are: standard deviation over mean, 0 = all alike."""
    mean = float(loads.mean()) if loads.size else 0.0
    return float(loads.std()) / mean if mean else 0.0


def least_drive_s(season: Season) -> float:
    """Return a bound that no season's estimated driving can pass below. [s].

    Each job in the week in which, if all came that could, its neighbours would be nearest; as
    often as it must be visited at least. Weeks hold any amount here, so the bound is a loose one.
    """
    reach = [job.allowed for job in season.jobs]
    masks = np.array(reach, dtype=np.uint64)
    total = 0.0
    for at, job in enumerate(season.jobs):
        best = min(
            stop_drive_s(season, at, (masks >> np.uint64(week) & np.uint64(1)).astype(bool))
            for week in range(season.n_weeks)
            if job.allowed >> week & 1
        )
        total += fewest_visits(job, season.n_weeks) * (best + job.day_drive_s)
    return total
