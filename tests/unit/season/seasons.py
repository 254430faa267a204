"""Small seasons for tests, invented."""

from itertools import product

import numpy as np

from registry.season.near import near_on_plane
from registry.season.problem import Job, Pool, Season, SeasonPlan


def small_season(
    count: int,
    n_weeks: int,
    *,
    seed: int = 1,
    interval: int | None = None,
    room: float = 2.0,
    barred_share: float = 0.0,
) -> Season:
    """Return some jobs at places and with dates by chance; ``room`` is capacity over even work."""
    chance = np.random.default_rng(seed)
    xy_s = chance.random((count, 2)) * 3000
    yard_s = np.hypot(*(xy_s - 1500).T)
    alone = np.arange(count)
    near = near_on_plane(xy_s, alone, np.zeros(count, np.int64), yard_s, 300.0)
    jobs = []
    for number in range(count):
        last = int(chance.integers(0, n_weeks))
        barred = [week for week in range(n_weeks) if chance.random() < barred_share]
        allowed = (1 << n_weeks) - 1 & ~sum(1 << week for week in barred) | 1 << last
        if interval is not None:
            allowed = (1 << n_weeks) - 1
        jobs.append(
            Job(
                id=f"J-{number}",
                crew=0,
                load_s=int(chance.integers(1800, 5400)),
                day_drive_s=int(yard_s[number] / 4),
                first_from=0,
                first_to=last if interval is None else min(last, interval),
                first_free=max(0, last - 3),
                step_from=0 if interval is None else max(1, interval // 2),
                step_to=interval,
                step_free=0 if interval is None else max(1, interval - 1),
                early_s=200,
                allowed=allowed,
            )
        )
    work_s = sum(one.load_s * (1 if interval is None else n_weeks / interval) for one in jobs)
    capacity = tuple([int(max(room * work_s / n_weeks, 6000))] * n_weeks)
    pool = Pool(
        name="everybody", crews=frozenset([0]), capacity_s=capacity, level_s=int(work_s / n_weeks)
    )
    return Season(n_weeks=n_weeks, jobs=tuple(jobs), near=near, pools=(pool,))


def all_plans(season: Season) -> list[SeasonPlan]:
    """Return every plan in which nothing is late or barred: full enumeration."""

    def chains(job: Job, span: range) -> list[tuple[int, ...]]:
        found: list[tuple[int, ...]] = []
        for week in span:
            if not job.allowed >> week & 1 or week >= season.n_weeks:
                continue
            then = job.next_weeks(week, season.n_weeks)
            rest = [()] if then is None else chains(job, then)
            found += [(week, *one) for one in rest]
        return found

    each = [chains(job, job.first_weeks()) for job in season.jobs]
    return [SeasonPlan(weeks=weeks) for weeks in product(*each)]
