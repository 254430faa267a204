"""The season as a problem: jobs that fall due again and again, weeks that hold only so much.

Weeks are numbers from 0; ``registry.season.weeks`` says which dates they are. A set of weeks is one
integer, bit w for week w, so that tens of thousands of jobs are compared in an instant.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from registry.errors import PlanError
from registry.season.near import Near

MOST_WEEKS = 63
"""A set of weeks must fit in 64 bits, with one to spare for shifts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Obligations of one site that are done in one stop and fall due again together.

    The first visit is made from week ``first_from`` to ``first_to``. Each later one follows
    ``step_from`` to ``step_to`` weeks after the one before, for the rule counts from the day on
    which it was done; where its last week lies beyond the year it is not asked for yet.
    ``step_to`` None = once a year. A visit before ``first_free``, or sooner than ``step_free``
    weeks after the last one, costs ``early_s`` seconds of driving for each week.

    ``allowed`` holds the weeks in which the site may be worked at. ``late``: overdue from the
    start, so ``first_to`` is when it must be caught up and each week until then costs
    ``late_s``. ``load_s`` counts against the hours of the week, ``crew`` says whose.
    ``day_drive_s`` is its share of the drives between yard and area. ``kept`` holds weeks that
    stand from before; leaving one costs ``keep_s``.
    """

    id: str
    crew: int
    load_s: int
    day_drive_s: int
    first_from: int
    first_to: int
    first_free: int
    step_from: int = 0
    step_to: int | None = None
    step_free: int = 0
    early_s: int = 0
    allowed: int
    late: bool = False
    late_s: int = 0
    kept: int = 0
    keep_s: int = 0

    def next_weeks(self, week: int, n_weeks: int) -> range | None:
        """Return the weeks of the visit after one in a week, None where the year ends before."""
        if self.step_to is None or week + self.step_to >= n_weeks:
            return None
        return range(week + self.step_from, week + self.step_to + 1)

    def first_weeks(self) -> range:
        """Return the weeks of the first visit."""
        return range(self.first_from, self.first_to + 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """People who share work: the load of ``crews`` fits into ``capacity_s`` of each week.

    ``level_s`` is what each week would hold if the year's work were spread evenly, or more.

    For every set of people there is a pool of the crews whose work nobody else may do; with these
    and no more, the work can be shared out (Hall 1935, as for any transport of goods).
    """

    name: str
    crews: frozenset[int]
    capacity_s: tuple[int, ...]
    level_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Season:
    """A year's jobs, how near they are to each other, and what the people can do.

    Point i of ``near`` is job i: jobs of one site are points at the same place.
    ``over_s`` is the price of one second of work beyond a week's capacity, ``even_percent`` what a
    second of work in a week twice as full as the level costs more than in a level one, both in
    seconds of driving.
    """

    n_weeks: int
    jobs: tuple[Job, ...]
    near: Near
    pools: tuple[Pool, ...]
    over_s: int = 6
    even_percent: int = 20

    def __post_init__(self) -> None:
        if not 0 < self.n_weeks <= MOST_WEEKS:
            raise PlanError(f"A season has 1 to {MOST_WEEKS} weeks, not {self.n_weeks}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonPlan:
    """The weeks of each job's visits, in the order of the jobs; ``engine`` says what searched."""

    weeks: tuple[tuple[int, ...], ...]
    engine: str = ""
    rounds: int = 0
    seconds: float = 0.0
    seed: int = 0


def weeks_in(weeks: int) -> Iterator[int]:
    """Yield the weeks of a set, the first one first."""
    week = 0
    while weeks:
        if weeks & 1:
            yield week
        weeks, week = weeks >> 1, week + 1


def week_set(weeks: Iterable[int]) -> int:
    """Return weeks as one set."""
    answer = 0
    for week in weeks:
        answer |= 1 << week
    return answer


def livable(job: Job, n_weeks: int) -> int:
    """Return the weeks from which a job can go on to the end of the year, each visit allowed.

    Worked backwards: a visit is possible where no other follows in the year, or one that follows
    is possible.
    """
    good = 0
    for week in range(n_weeks - 1, -1, -1):
        if not job.allowed >> week & 1:
            continue
        then = job.next_weeks(week, n_weeks)
        if then is None or any(good >> later & 1 for later in then):
            good |= 1 << week
    return good


def fewest_visits(job: Job, n_weeks: int) -> int:
    """Return how often a job is visited in a year at least: always as late as may be."""
    week, count = job.first_to, 1
    while job.step_to is not None and week + job.step_to < n_weeks:
        week, count = week + job.step_to, count + 1
    return count
