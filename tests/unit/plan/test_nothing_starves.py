"""Sixty working days of an invented firm: what is beyond its grace is made where there is room.

The firm, its places and its intervals are invented. The worth of a visit, the shipped tasks and the
search are those in use.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from importlib.resources import files

import numpy as np
import pytest

from registry.due.lateness import is_overdue
from registry.due.rules_file import read_rules
from registry.due.visit_worth import visit_worth
from registry.plan.check import check
from registry.plan.problem import DayProblem, DayVisit, RouteCalls
from registry.plan.ways import best_way
from registry.records.work import Obligation
from registry.solvers.combined import CombinedSolver
from tests.days import ALL_DAY, HOUR, LUNCH, MIN, on_a_line, technician, visit

FIRST = date(2026, 6, 15)
DAYS = 60
SITES, EVERY_DAYS, GRACE_DAYS, AHEAD_DAYS = 100, 28, 10, 7
LONELY, LOW = SITES, SITES + 1
SERVICE_MIN, MOST_A_ROUTE = 120, 3
"""Three visits a route, 30 a week, where 25.5 become due."""
ROUNDS = 1500
TASKS = read_rules(
    files("registry.due").joinpath("defaults.toml").read_text("utf-8"), "defaults.toml"
).tasks
CREW = tuple(technician(k, shift_to_s=17 * HOUR, lunch=LUNCH) for k in (1, 2))


@dataclass(frozen=True)
class Firm:
    """Where the sites lie, and what each owes next."""

    travel_s: np.ndarray
    owed: tuple[Obligation, ...]


@dataclass(frozen=True)
class DayMade:
    """One day as it was ordered: its problem, routes, and what was owed where."""

    on_date: date
    problem: DayProblem
    routes: tuple[RouteCalls, ...]
    owed: tuple[Obligation, ...]

    @property
    def waiting(self) -> list[int]:
        """The visits on no route."""
        made = {call.which for calls in self.routes for call in calls}
        return [i for i in range(len(self.problem.visits)) if i not in made]


def firm() -> Firm:
    """100 sites around two villages, a lonely one 100 min away, and one of the lowest worth."""
    chance = np.random.default_rng(60)
    villages = np.array([[0.0, 0.0], [25.0, 10.0]])
    xy = villages[chance.integers(0, 2, SITES)] + chance.normal(0, 8.0, (SITES, 2))
    xy = np.vstack([[5.0, 3.0], xy, [-75.0, 66.0], [14.0, -30.0]])
    minutes = 4 + np.sqrt(((xy[:, None] - xy[None]) ** 2).sum(-1))
    np.fill_diagonal(minutes, 0)
    tasks = ["inspection", "pump test", "purge"]
    owed = [
        Obligation(
            system_id=site,
            site_id=site,
            task="filter" if site >= SITES else tasks[site % 3],
            due_on=FIRST + timedelta(days=int(chance.integers(-7, EVERY_DAYS - 7))),
            grace_days=GRACE_DAYS,
            horizon_days=AHEAD_DAYS,
        )
        for site in range(SITES + 2)
    ]
    return Firm(np.rint(minutes * MIN).astype(np.int64), tuple(owed))


def by_worth(one: Obligation, on_date: date) -> float:
    """What a visit is worth, by the function in use."""
    return visit_worth([one], TASKS, on_date).total


def beyond_grace_with_room(day: DayMade) -> list[int]:
    """The visits left waiting beyond their grace for which some route had room."""
    return [
        i
        for i in day.waiting
        if is_overdue(day.owed[i].due_on, day.on_date, day.owed[i].grace_days)
        and any(best_way(day.problem, k, calls, i).fits for k, calls in enumerate(day.routes))
    ]


def sixty_days(known: Firm, worth: Callable[[Obligation, date], float]) -> Iterator[DayMade]:
    """Order one working day after the other; what is made is due again an interval later."""
    owed = list(known.owed)
    for on_date in (FIRST + timedelta(days=ahead) for ahead in range(DAYS * 7 // 5)):
        if on_date.weekday() >= 5:
            continue
        due = [
            one for one in owed if one.due_on and (one.due_on - on_date).days <= one.horizon_days
        ]
        problem = DayProblem(
            name=on_date.isoformat(),
            travel_s=known.travel_s,
            travel_m=known.travel_s,
            technicians=CREW,
            visits=tuple(
                DayVisit(
                    id=str(one.site_id),
                    name=f"Site {one.site_id}",
                    place=1 + one.site_id,
                    service_s=SERVICE_MIN * MIN,
                    windows=ALL_DAY,
                    worth_s=round(worth(one, on_date)),
                )
                for one in due
            ),
        )
        routes = CombinedSolver().solve(problem, rounds=ROUNDS, seed=1).routes
        check(problem, routes)
        yield DayMade(on_date, problem, routes, tuple(due))
        for calls in routes:
            for call in calls:
                one = due[call.which]
                again = on_date + timedelta(days=EVERY_DAYS)
                owed[one.site_id] = replace(one, due_on=again, last_done=on_date)


@pytest.fixture(scope="module")
def made() -> list[DayMade]:
    """Sixty days ordered by what visits are worth."""
    return list(sixty_days(firm(), by_worth))


def test_no_visit_waits_beyond_its_grace_while_a_route_has_room_for_it(made):
    assert not [one for day in made for one in beyond_grace_with_room(day)]


def test_the_far_site_and_the_one_of_low_worth_are_made_each_time_they_are_due(made):
    sites = [day.owed[call.which].site_id for day in made for calls in day.routes for call in calls]
    assert sites.count(LONELY) == sites.count(LOW) == 2
    assert 60 * 5 <= len(sites) < 2 * MOST_A_ROUTE * DAYS


def test_by_driving_alone_the_far_site_would_starve():
    """What the simulation is able to show: with a price that does not grow it fails."""
    days = list(sixty_days(firm(), lambda one, _: TASKS[one.task].base_worth_s))
    starved = {day.owed[one].site_id for day in days for one in beyond_grace_with_room(day)}
    assert LONELY in starved
    assert not any(
        day.owed[call.which].site_id == LONELY
        for day in days
        for calls in day.routes
        for call in calls
    )


@pytest.mark.parametrize(("days_late", "goes"), [(30, {"near", "by"}), (120, {"far"})])
def test_where_there_is_room_for_few_the_one_that_has_waited_long_has_its_turn(days_late, goes):
    """A far site takes the time of two near ones that have been overdue since yesterday."""

    def worth_s(days: int) -> int:
        due_on = FIRST - timedelta(days=days)
        owed = Obligation(system_id=1, site_id=1, task="inspection", due_on=due_on)
        return round(by_worth(owed, FIRST))

    problem = on_a_line(
        [0, 100, 5, 6],
        [
            visit("far", 1, service_s=2 * HOUR, worth_s=worth_s(days_late)),
            visit("near", 2, service_s=4 * HOUR, worth_s=worth_s(1)),
            visit("by", 3, service_s=4 * HOUR, worth_s=worth_s(1)),
        ],
    )
    (calls,) = CombinedSolver().solve(problem, rounds=300, seed=1).routes
    assert {problem.visits[call.which].id for call in calls} == goes
