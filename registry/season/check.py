"""The independent check of a season: nothing late, nothing in a barred week, no week too full.

It shares nothing with the solvers and nothing with ``problem.livable``.
"""

from dataclasses import dataclass
from enum import StrEnum

from registry.season.problem import Job, Season, SeasonPlan


class SeasonBreach(StrEnum):
    """What a season can break."""

    WRONG = "wrong"
    LATE = "late"
    EARLY = "early"
    MISSING = "missing"
    BARRED = "barred week"
    OVER = "too full"


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """One limit that is broken: by which job (empty for a week's hours), in which week."""

    kind: SeasonBreach
    week: int
    job: str = ""
    pool: str = ""
    over_s: int = 0


def broken_limits(season: Season, plan: SeasonPlan) -> list[Broken]:
    """Return every limit that a season breaks."""
    if len(plan.weeks) != len(season.jobs):
        return [Broken(kind=SeasonBreach.WRONG, week=0)]
    found: list[Broken] = []
    load: dict[tuple[int, int], int] = {}
    for job, weeks in zip(season.jobs, plan.weeks, strict=True):
        if (
            not weeks
            or list(weeks) != sorted(set(weeks))
            or not 0 <= weeks[0] <= weeks[-1] < season.n_weeks
        ):
            found.append(Broken(kind=SeasonBreach.WRONG, week=0, job=job.id))
            continue
        found += _of_job(job, weeks, season.n_weeks)
        for week in weeks:
            load[job.crew, week] = load.get((job.crew, week), 0) + job.load_s
    for pool in season.pools:
        for week, holds_s in enumerate(pool.capacity_s):
            over_s = sum(load.get((crew, week), 0) for crew in pool.crews) - holds_s
            if over_s > 0:
                one = Broken(kind=SeasonBreach.OVER, week=week, pool=pool.name, over_s=over_s)
                found.append(one)
    return found


def late_visits(season: Season, plan: SeasonPlan) -> int:
    """Return how many visits pass their due date, those not made at all counted in."""
    kinds = (SeasonBreach.LATE, SeasonBreach.MISSING)
    return sum(1 for one in broken_limits(season, plan) if one.kind in kinds)


def _of_job(job: Job, weeks: tuple[int, ...], n_weeks: int) -> list[Broken]:
    """Return what the visits of one job break."""
    said: list[tuple[SeasonBreach, int]] = []
    earliest, latest = job.first_from, job.first_to
    for week in weeks:
        if week > latest:
            said.append((SeasonBreach.LATE, week))
        if week < earliest:
            said.append((SeasonBreach.EARLY, week))
        if not (job.allowed >> week) & 1:
            said.append((SeasonBreach.BARRED, week))
        if job.step_to is None:
            earliest = latest = n_weeks
        else:
            earliest, latest = week + job.step_from, week + job.step_to
    if latest < n_weeks:
        said.append((SeasonBreach.MISSING, latest))
    return [Broken(kind=kind, week=week, job=job.id) for kind, week in said]
