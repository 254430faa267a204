"""One week of a season as a problem for the day's solver: every person on every day of the week."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from registry.plan.ports import Matrix
from registry.plan.problem import UNREACHABLE_S, DayProblem, DayVisit, Lunch, Matrix64, OnDuty
from registry.records.places import LonLat
from registry.season.asked import ARRIVE_S, SeasonAsked
from registry.season.problem import SeasonPlan

LUNCH = Lunch(from_s=3 * 3600, to_s=5 * 3600 + 1800, duration_s=1800)
"""Half an hour, begun three to five and a half hours into the day; common practice, no source."""
WORTH_S = 40_000
"""More than a day of driving: a stop is left out only where no day has room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What is done at one site in a week by people who may do all of it."""

    site: int
    people: frozenset[int]
    service_s: int


def stops_of(asked: SeasonAsked, plan: SeasonPlan, week: int) -> list[Stop]:
    """Return the stops of a week: jobs of one site are one stop where somebody may do them all."""
    found: dict[int, list[Stop]] = {}
    for owed, weeks in zip(asked.owed, plan.weeks, strict=True):
        if week not in weeks:
            continue
        here = found.setdefault(owed.site, [])
        for at, one in enumerate(here):
            if both := one.people & owed.people:
                service_s = one.service_s + max(0, owed.service_s - ARRIVE_S)
                here[at] = Stop(site=owed.site, people=both, service_s=service_s)
                break
        else:
            here.append(Stop(site=owed.site, people=owed.people, service_s=owed.service_s))
    return [one for here in found.values() for one in here]


def week_places(asked: SeasonAsked, stops: list[Stop]) -> list[LonLat]:
    """Return the places of a week: where people start, then the stops."""
    return [*(who.start for who in asked.people), *(asked.places[one.site] for one in stops)]


def week_problem(asked: SeasonAsked, stops: list[Stop], week: int, travel: Matrix) -> DayProblem:
    """Return a week as one problem; ``travel`` is between ``week_places``."""
    days = [k for k, who in enumerate(asked.people) for _ in range(who.days[week])]
    return DayProblem(
        name=f"week {week}",
        travel_s=_whole(travel.travel_s),
        travel_m=_whole(travel.travel_m),
        technicians=tuple(
            OnDuty(
                id=str(number),
                name=asked.people[k].name,
                start_place=k,
                end_place=k,
                shift_from_s=0,
                shift_to_s=asked.people[k].day_s + LUNCH.duration_s,
                lunch=LUNCH,
            )
            for number, k in enumerate(days)
        ),
        visits=tuple(
            DayVisit(
                id=str(number),
                name=str(number),
                place=len(asked.people) + number,
                service_s=one.service_s,
                windows=((0, 86_400),),
                ruled_out=frozenset(i for i, k in enumerate(days) if k not in one.people),
                worth_s=WORTH_S,
            )
            for number, one in enumerate(stops)
        ),
    )


def _whole(ways: npt.NDArray[np.float64]) -> Matrix64:
    return np.asarray(np.where(np.isnan(ways), UNREACHABLE_S, np.rint(ways)), dtype=np.int64)
