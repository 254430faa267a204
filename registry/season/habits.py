"""Two habits of offices without a season, to compare it with: oldest due first; by area and month.

Both fill the same weeks with the same hours, and keep out of the same barred weeks.
"""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from registry.season.near import Floats
from registry.season.problem import Job, Season, SeasonPlan

SEEN_WEEKS = 2
"""How far ahead the due list looks, beside the week itself. Longer only makes visits too early."""
MONTHS = 12


class _Room:
    """What is left of each week's hours while a plan is filled."""

    def __init__(self, season: Season) -> None:
        self.left_s = [list(pool.capacity_s) for pool in season.pools]
        self.pools = [pool.crews for pool in season.pools]

    def take(self, job: Job, week: int) -> bool:
        """Put a job into a week if it is allowed there and all its pools have room."""
        own = [
            left for left, crews in zip(self.left_s, self.pools, strict=True) if job.crew in crews
        ]
        if not job.allowed >> week & 1 or any(left[week] < job.load_s for left in own):
            return False
        for left in own:
            left[week] -= job.load_s
        return True


def oldest_first(season: Season, seen_weeks: int = SEEN_WEEKS) -> SeasonPlan:
    """Return the weeks of an office that does each week what is due first, until hours are full."""
    room, n_weeks = _Room(season), season.n_weeks
    due: dict[int, int] = {
        at: -1 if job.late else job.first_to for at, job in enumerate(season.jobs)
    }
    weeks: list[list[int]] = [[] for _ in season.jobs]
    for week in range(n_weeks):
        seen = sorted((last, at) for at, last in due.items() if last - seen_weeks <= week)
        for _, at in seen:
            job = season.jobs[at]
            if room.take(job, week):
                weeks[at].append(week)
                again = n_weeks if job.step_to is None else week + job.step_to
                due[at] = again
                if again >= n_weeks:
                    del due[at]
    return SeasonPlan(weeks=tuple(map(tuple, weeks)), engine="oldest due first")


def area_by_month(season: Season, xy: Floats, *, in_time: bool) -> SeasonPlan:
    """Return the weeks of an office that goes to one area each month, every year the same.

    Parameters
    ----------
    season
        The year.
    xy
        Where the jobs lie, shape (n, 2), in any unit.
    in_time
        What falls due before its area's turn is visited by itself, in the last week with room that
        is not late. Otherwise it waits for the turn, late or not.
    """
    areas, room = areas_of(xy), _Room(season)
    weeks: list[tuple[int, ...]] = [()] * len(season.jobs)
    for at in sorted(range(len(weeks)), key=lambda at: (areas[at], season.jobs[at].first_to)):
        weeks[at] = tuple(_in_turn(season, season.jobs[at], int(areas[at]), room, in_time=in_time))
    told = "by area, fixed month" + (", what is due sooner by itself" if in_time else "")
    return SeasonPlan(weeks=tuple(weeks), engine=told)


def _in_turn(season: Season, job: Job, area: int, room: _Room, *, in_time: bool) -> Iterator[int]:
    """Yield the weeks of a job whose area has its months."""
    first, last = 0, job.first_to
    while last < season.n_weeks:
        wanted = [one for one in _turns(season.n_weeks, area, job) if one >= first]
        if in_time:
            wanted = [one for one in wanted if one <= last][::-1] + list(range(last, first - 1, -1))
        if not wanted:
            return
        wanted += range(max(wanted), season.n_weeks)
        week = next((one for one in wanted if room.take(job, one)), None)
        if week is None:
            return
        yield week
        if job.step_to is None:
            return
        first, last = week + max(1, job.step_from), week + job.step_to


def _turns(n_weeks: int, area: int, job: Job) -> list[int]:
    """Return the weeks of an area's months for a job: one month a year, or as many as its rule."""
    step = n_weeks if job.step_to is None else min(job.step_to, n_weeks)
    every = max(1, int(MONTHS * (step + 1) / n_weeks))
    months = {(area + k) % MONTHS for k in range(0, MONTHS, every)}
    return [week for week in range(n_weeks) if week * MONTHS // n_weeks in months]


def areas_of(xy: Floats) -> npt.NDArray[np.int64]:
    """Return in which of twelve areas each point lies: three strips of four, as many in each."""
    n = len(xy)
    answer = np.zeros(n, dtype=np.int64)
    for column, strip in enumerate(np.array_split(np.argsort(xy[:, 0], kind="stable"), 3)):
        rows = np.array_split(strip[np.argsort(xy[strip, 1], kind="stable")], 4)
        for row, members in enumerate(rows):
            answer[members] = 4 * column + (row if column % 2 == 0 else 3 - row)
    return answer
