"""How good a season is: its driving beside two habits, days ordered by the real solver."""

from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter
from typing import Any

from registry.plan.check import check
from registry.plan.ports import RoadEngine, RouteSolver
from registry.season.asked import SeasonAsked, Ways, posed
from registry.season.check import late_visits
from registry.season.cost import evenness, least_drive_s, loads_s, week_drives_s
from registry.season.habits import area_by_month, oldest_first
from registry.season.near import plane_m
from registry.season.ports import SeasonSolver
from registry.season.problem import Season, SeasonPlan
from registry.season.week_problem import stops_of, week_places, week_problem
from registry.units import S_PER_H

type Say = Callable[[str], None]
MOST_BOUNDED = 5000
"""The bound looks at every week of every job: beyond so many jobs it is left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """Which weeks are ordered by the solver of days, and for how long each."""

    n_weeks: int
    seconds: float
    seed: int = 1

    def weeks(self, of: int) -> list[int]:
        """Return weeks spread evenly over a year."""
        return sorted({int((k + 0.5) * of / self.n_weeks) for k in range(self.n_weeks)})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BenchParts:
    """The engines that a comparison needs."""

    roads: RoadEngine
    days: RouteSolver
    seasons: SeasonSolver


def bench_season(
    asked: SeasonAsked, ways: Ways, parts: BenchParts, sample: Sample, seconds: float, say: Say
) -> dict[str, Any]:
    """Return how the season and the habits do on the same people, weeks and solver of days.

    Parameters
    ----------
    asked, ways
        The year.
    parts
        The engines.
    sample
        The weeks whose days are ordered.
    seconds
        How long the season is searched for.
    say
        Told how it goes.
    """
    began = perf_counter()
    year = posed(asked, ways)
    season = year.season
    say(f"{len(season.jobs):,} jobs posed in {perf_counter() - began:.1f} s.")
    xy_m = plane_m([asked.places[one.site] for one in asked.owed])
    plans = [
        oldest_first(season),
        area_by_month(season, xy_m, in_time=False),
        area_by_month(season, xy_m, in_time=True),
    ]
    began = perf_counter()
    plans.append(
        parts.seasons.solve(
            season,
            seconds=seconds,
            seed=sample.seed,
            progress=lambda step: say(f"{step.seconds:7.1f} s  {step.text}"),
        )
    )
    took_s = perf_counter() - began
    rows = []
    for plan in plans:
        row = _row(season, plan) | _driven(asked, plan, parts, sample)
        say(f"{row['way']}: {row['drive_h']} h of driving, {row['late']} late.")
        rows.append(row)
    return {
        "systems": len(asked.places),
        "jobs": len(season.jobs),
        "people": len(asked.people),
        "season_s": round(took_s, 1),
        "sampled_weeks": sample.weeks(season.n_weeks),
        "ways": rows,
        "saved_share": _saved(rows[0]["drive_h"], rows[-1]["drive_h"]),
        "estimate": _estimate(season, plans[-1]),
    }


def _saved(oldest_first_h: float, season_h: float) -> float | None:
    """Return the share of driving that is saved, None where the sampled weeks had none."""
    return round(1 - season_h / oldest_first_h, 4) if oldest_first_h and season_h else None


def _row(season: Season, plan: SeasonPlan) -> dict[str, Any]:
    """Return what a plan is like before any day of it is ordered."""
    loads = loads_s(season, plan)
    everybody = max(range(len(season.pools)), key=lambda k: len(season.pools[k].crews))
    early = [
        (job.step_to - (after - before)) / job.step_to
        for job, weeks in zip(season.jobs, plan.weeks, strict=True)
        if job.step_to
        for before, after in zip((job.first_to - job.step_to, *weeks), weeks, strict=False)
        if not job.late
    ]
    return {
        "way": plan.engine,
        "visits": sum(map(len, plan.weeks)),
        "late": late_visits(season, plan),
        "unevenness": round(evenness(loads[everybody]), 3),
        "given_away_share": round(sum(early) / max(1, len(early)), 4),
    }


def _driven(
    asked: SeasonAsked, plan: SeasonPlan, parts: BenchParts, sample: Sample
) -> dict[str, Any]:
    """Return the driving of a year, by the days of the sampled weeks."""
    drive_s = visits = left = 0
    for week in sample.weeks(asked.n_weeks):
        stops = stops_of(asked, plan, week)
        if not stops:
            continue
        travel = parts.roads.travel_times(week_places(asked, stops))
        problem = week_problem(asked, stops, week, travel)
        solution = parts.days.solve(problem, seconds=sample.seconds, seed=sample.seed)
        totals = check(problem, solution.routes)
        drive_s += totals.drive_s
        left += len(stops) - totals.served
        visits += sum(week in weeks for weeks in plan.weeks)
    made = sum(map(len, plan.weeks))
    return {
        "sampled_drive_h": round(drive_s / S_PER_H, 2),
        "sampled_visits": visits,
        "did_not_fit": left,
        "drive_min_a_visit": round(drive_s / 60 / max(1, visits), 2),
        "drive_h": round(drive_s / S_PER_H * made / max(1, visits), 1),
    }


def _estimate(season: Season, plan: SeasonPlan) -> dict[str, Any]:
    """Return the search's own estimate, arrivals counted, and what no season can pass below."""
    told_h = sum(week_drives_s(season, plan)) / S_PER_H
    if len(season.jobs) > MOST_BOUNDED:
        return {"hours": round(told_h, 1), "bound_hours": None, "gap": None}
    bound_h = least_drive_s(season) / S_PER_H
    return {
        "hours": round(told_h, 1),
        "bound_hours": round(bound_h, 1),
        "gap": round(told_h / bound_h - 1, 4) if bound_h else None,
    }
