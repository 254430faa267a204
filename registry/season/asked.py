"""What a season is asked for: who owes what by when, who works when, on what terms."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from registry.records.places import LonLat
from registry.season.near import (
    Floats,
    Ints,
    Near,
    near_by_roads,
    near_on_plane,
    plane_m,
    spread_drive_s,
)
from registry.season.problem import Job, Pool, Season, fewest_visits, livable

ARRIVE_S = 600
"""What a stop takes before and after its work; common practice, no source."""
LATE_S_A_WEEK = 7200
"""A week longer overdue costs as much as two hours of driving; common practice, no source."""
MOST_SETS = 6
"""Of more different sets of people than this only single ones and all together are looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """How freely a season may move visits.

    Up to ``free_share`` of its interval a visit may come early for nothing, up to ``most_share`` at
    a price. ``alarm_share`` of all hours stay free for alarm calls. What is overdue is caught up
    within ``catch_up_weeks``. Common practice, no source.
    """

    free_share: float = 0.25
    most_share: float = 0.5
    alarm_share: float = 0.1
    catch_up_weeks: int = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Who works: from where, how long a day, on how many days of each week."""

    name: str
    start: LonLat
    day_s: int
    days: tuple[int, ...]

    def hours_s(self, week: int) -> int:
        """Return how long somebody works in a week. [s]."""
        return self.days[week] * self.day_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """Obligations of one site that go together: done by whom, in how long, by when.

    ``due_week`` is the last week that lies wholly before the due date, below 0 = overdue;
    ``step_weeks`` how many weeks later they fall due again, None = not this year. ``kept`` are
    weeks that stand from before, which cost ``keep_s`` to leave.
    """

    id: str
    site: int
    people: frozenset[int]
    service_s: int
    due_week: int
    step_weeks: int | None
    allowed: int
    kept: int = 0
    keep_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonAsked:
    """A year of one firm; ``places`` are those of the sites that ``Owed.site`` counts."""

    n_weeks: int
    places: tuple[LonLat, ...]
    owed: tuple[Owed, ...]
    people: tuple[Person, ...]
    terms: Terms = Terms()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Posed:
    """A season made of what was asked, job by job; ``forced`` are jobs whose barred weeks gave way.

    Their dates leave them no other week: the due date goes first.
    """

    season: Season
    forced: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ways:
    """How far places are: by roads, ``travel_s`` of all sites and then all starts, or as flown.

    ``flown_s_per_m`` holds the factor of a detour and the speed; it also measures the area.
    """

    flown_s_per_m: float
    travel_s: Floats | None = None


def posed(asked: SeasonAsked, ways: Ways) -> Posed:
    """Return what was asked as a season."""
    owed = asked.owed
    sites = np.array([one.site for one in owed], dtype=np.int64)
    sets = sorted({one.people for one in owed}, key=sorted)
    crews = [sets.index(one.people) for one in owed]
    fleets = np.array(fleets_of(sets), dtype=np.int64)[crews] if owed else np.zeros(0, np.int64)
    xy_s = plane_m([*asked.places, *(who.start for who in asked.people)]) * ways.flown_s_per_m
    site_xy, start_xy = xy_s[: len(asked.places)], xy_s[len(asked.places) :]
    yard_s = _yard_s(asked, sites, site_xy, start_xy, ways)
    near = _near(asked, sites, fleets, site_xy, yard_s, ways)
    weekly = sum(asked.n_weeks / (one.step_weeks or asked.n_weeks) for one in owed)
    spread_s = spread_drive_s(site_xy[sites], weekly / asked.n_weeks)
    jobs, forced = [], set()
    for at, one in enumerate(owed):
        job = _job(asked, one, crews[at], float(yard_s[at]), spread_s)
        if not _has_week(job, asked.n_weeks):
            job = _job(asked, one, crews[at], float(yard_s[at]), spread_s, barred=False)
            forced.add(at)
        jobs.append(job)
    work_s = [0] * len(sets)
    for job in jobs:
        work_s[job.crew] += job.load_s * fewest_visits(job, asked.n_weeks)
    pools = pools_of(sets, asked, work_s)
    season = Season(n_weeks=asked.n_weeks, jobs=tuple(jobs), near=near, pools=pools)
    return Posed(season=season, forced=frozenset(forced))


def fleets_of(sets: Sequence[frozenset[int]]) -> list[int]:
    """Return for each set of people its fleet: sets that share a person may share a stop."""
    fleets = list(range(len(sets)))
    for one, other in combinations(range(len(sets)), 2):
        if sets[one] & sets[other]:
            low, high = sorted((fleets[one], fleets[other]))
            fleets = [low if fleet == high else fleet for fleet in fleets]
    return fleets


def pools_of(
    sets: Sequence[frozenset[int]], asked: SeasonAsked, work_s: Sequence[int]
) -> tuple[Pool, ...]:
    """Return a pool for every union of sets, with all crews that only its people serve.

    ``work_s`` is the work of a year that each set has.
    """
    people, terms = asked.people, asked.terms
    most = len(sets) if len(sets) <= MOST_SETS else 1
    unions = {
        frozenset[int]().union(*some) for k in range(1, most + 1) for some in combinations(sets, k)
    }
    unions |= {frozenset[int]().union(*sets)} if sets else set()
    return tuple(
        Pool(
            name=", ".join(people[who].name for who in sorted(union)),
            crews=frozenset(crew for crew, one in enumerate(sets) if one <= union),
            capacity_s=tuple(
                int((1 - terms.alarm_share) * sum(people[k].hours_s(week) for k in union))
                for week in range(asked.n_weeks)
            ),
            level_s=_level_s(union, sets, asked, work_s),
        )
        for union in sorted(unions, key=sorted)
    )


def _level_s(
    union: frozenset[int],
    sets: Sequence[frozenset[int]],
    asked: SeasonAsked,
    work_s: Sequence[int],
) -> int:
    """Return what a week of some people holds evenly: half their hours where they have less to do.

    Who is never busy may as well work in few full days.
    """
    own_s = sum(one_s for one_s, one in zip(work_s, sets, strict=True) if one <= union)
    hours_s = sum(asked.people[k].hours_s(week) for k in union for week in range(asked.n_weeks))
    return max(own_s, hours_s // 2) // asked.n_weeks


def _has_week(job: Job, n_weeks: int) -> bool:
    good = livable(job, n_weeks)
    return any(good >> week & 1 for week in job.first_weeks())


def _job(
    asked: SeasonAsked, one: Owed, crew: int, yard_s: float, spread_s: float, barred: bool = True
) -> Job:
    """Return what is owed as a job; ``barred`` = keep out of the weeks that are not allowed."""
    terms, last_week = asked.terms, asked.n_weeks - 1
    step = one.step_weeks or asked.n_weeks
    free, most = int(step * terms.free_share), int(step * terms.most_share)
    allowed = one.allowed if barred else (1 << asked.n_weeks) - 1
    late = one.due_week < 0
    first_to = min(one.due_week, last_week)
    if late:
        first_open = (allowed & -allowed).bit_length() - 1
        first_to = min(max(terms.catch_up_weeks, first_open), last_week)
    day_s = min(asked.people[k].day_s for k in one.people)
    day_drive_s = int(2 * yard_s * min(1.0, one.service_s / day_s))
    return Job(
        id=one.id,
        crew=crew,
        load_s=int(one.service_s + day_drive_s + spread_s),
        day_drive_s=day_drive_s,
        first_from=0 if late else max(0, one.due_week - most),
        first_to=first_to,
        first_free=0 if late else max(0, one.due_week - free),
        step_from=max(1, step - most),
        step_to=one.step_weeks,
        step_free=max(1, step - free),
        early_s=max(1, one.service_s // step),
        allowed=allowed,
        late=late,
        late_s=LATE_S_A_WEEK,
        kept=one.kept,
        keep_s=one.keep_s,
    )


def _yard_s(
    asked: SeasonAsked, sites: Ints, site_xy: Floats, start_xy: Floats, ways: Ways
) -> npt.NDArray[np.float64]:
    """Return the way to each job from the nearest start of those who may do it. [s]."""
    if ways.travel_s is None:
        apart = np.linalg.norm(site_xy[:, None] - start_xy[None], axis=2)
    else:
        n = len(asked.places)
        there, back = ways.travel_s[n:, :n].T, ways.travel_s[:n, n:]
        apart = np.nan_to_num((there + back) / 2, nan=float(np.nanmax(ways.travel_s)))
    return np.array(
        [apart[site, sorted(one.people)].min() for site, one in zip(sites, asked.owed, strict=True)]
    )


def _near(
    asked: SeasonAsked, sites: Ints, fleets: Ints, xy_s: Floats, yard_s: Floats, ways: Ways
) -> Near:
    if ways.travel_s is None:
        return near_on_plane(xy_s[sites], sites, fleets, yard_s, ARRIVE_S)
    n = len(asked.places)
    return near_by_roads(ways.travel_s[:n, :n], sites, sites, fleets, yard_s, ARRIVE_S)
