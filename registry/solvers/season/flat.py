"""A season as arrays that compiled code reads, and the state of a search over it."""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from registry.errors import PlanError
from registry.season.problem import Season, SeasonPlan, livable, week_set, weeks_in

type Ints = npt.NDArray[np.int64]
type Floats = npt.NDArray[np.float64]
NEVER = 1 << 20
"""Weeks until a job that does not come again in the year."""


class Flat(NamedTuple):
    """A season's jobs as columns, its neighbours and pools; see ``season.problem``.

    ``visit_s`` is what a visit costs whatever is near: its work, and the ways from the yard.
    """

    n_weeks: int
    begins: Ints
    near: npt.NDArray[np.int32]
    near_s: npt.NDArray[np.float32]
    yard_s: npt.NDArray[np.float32]
    crew: Ints
    load_s: Ints
    visit_s: Floats
    first: Ints
    step: Ints
    early_s: Ints
    late_s: Ints
    livable: Ints
    kept: Ints
    keep_s: Ints
    in_pool: npt.NDArray[np.bool_]
    capacity_s: Floats
    level_s: Floats
    over_s: float
    even_share: float


class State(NamedTuple):
    """Where a search stands: each job's weeks, its nearest in each of them, and the loads."""

    weeks: Ints
    nearest_s: npt.NDArray[np.float32]
    loads_s: Floats


def flat(season: Season) -> Flat:
    """Return a season as arrays.

    Raises
    ------
    PlanError
        If a job has no week in which its first visit may be made.
    """
    jobs, n = season.jobs, len(season.jobs)
    good = [livable(one, season.n_weeks) for one in jobs]
    for one, weeks in zip(jobs, good, strict=True):
        if not any(0 <= week < season.n_weeks and weeks >> week & 1 for week in one.first_weeks()):
            raise PlanError(f"Job {one.id} has no week in which it may be done.")
    crews = max((one.crew for one in jobs), default=0) + 1
    in_pool = np.zeros((len(season.pools), crews), dtype=np.bool_)
    for row, pool in enumerate(season.pools):
        in_pool[row, [crew for crew in pool.crews if crew < crews]] = True
    capacity = np.array([one.capacity_s for one in season.pools], dtype=np.float64)

    def column(name: str) -> Ints:
        return np.array([getattr(one, name) for one in jobs], dtype=np.int64)

    def three(*names: str) -> Ints:
        return np.column_stack([column(name) for name in names]).reshape(n, len(names))

    step_to = np.array([NEVER if one.step_to is None else one.step_to for one in jobs], np.int64)
    return Flat(
        n_weeks=season.n_weeks,
        begins=season.near.begins,
        near=season.near.points,
        near_s=season.near.drive_s,
        yard_s=season.near.yard_s,
        crew=column("crew"),
        load_s=column("load_s"),
        visit_s=column("load_s").astype(np.float64),
        first=three("first_from", "first_to", "first_free"),
        step=np.column_stack((column("step_from"), step_to, column("step_free"))).reshape(n, 3),
        early_s=column("early_s"),
        late_s=np.array([one.late_s if one.late else 0 for one in jobs], dtype=np.int64),
        livable=np.array(good, dtype=np.int64),
        kept=column("kept"),
        keep_s=column("keep_s"),
        in_pool=in_pool,
        capacity_s=capacity.reshape(len(season.pools), season.n_weeks),
        level_s=np.array([max(1, one.level_s) for one in season.pools], dtype=np.float64),
        over_s=float(season.over_s),
        even_share=season.even_percent / 200,
    )


def first_weeks(season: Season, start: SeasonPlan | None, good: Ints) -> Ints:
    """Return the weeks to begin from, shape (n,): a plan's, or those that stand, else the last."""
    if start is not None:
        return np.array([week_set(weeks) for weeks in start.weeks], dtype=np.int64)
    answer = []
    for job, weeks in zip(season.jobs, good.tolist(), strict=True):
        chosen: list[int] = []
        span: range | None = job.first_weeks()
        while span is not None:
            open_weeks = [one for one in span if 0 <= one < season.n_weeks and weeks >> one & 1]
            stood = [one for one in open_weeks if job.kept >> one & 1]
            chosen.append((stood or open_weeks)[-1])
            span = job.next_weeks(chosen[-1], season.n_weeks)
        answer.append(week_set(chosen))
    return np.array(answer, dtype=np.int64)


def as_plan_weeks(weeks: Ints) -> tuple[tuple[int, ...], ...]:
    """Return each job's weeks in order."""
    return tuple(tuple(weeks_in(one)) for one in weeks.tolist())
