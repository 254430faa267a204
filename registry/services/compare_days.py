"""Working days ordered together beside the same days ordered one after the other; nothing is kept.

Both have the same effort in all, over the same roads, from the same records.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from registry.plan.check import check
from registry.plan.one_clock import waiting_prices
from registry.plan.ports import ProgressLine, RoadEngine, RouteSolver
from registry.plan.problem import DayProblem, Solution
from registry.plan.several_days import MadeOn, Several, solution_of_day, without_made
from registry.services.plan_day import DayOrder
from registry.services.plan_days import days_input, pose_days, solve
from registry.store import Store

type Answers = Sequence[tuple[DayProblem, Solution]]
"""Each day's problem, without what other days make, and its solution."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What some days come to.

    ``visits`` are sites visited; ``made_overdue_days`` sums how many days overdue each of them was
    when it was made, ``left_overdue_days`` how many each one left is on the last day.
    ``cost_s`` is driving, other prices, and what waiting costs, as for days ordered together.
    """

    drive_s: int
    drive_m: int
    visits: int
    visits_by_day: tuple[int, ...]
    made_overdue_days: int
    left: int
    left_overdue: int
    left_overdue_days: int
    became_overdue: int
    cost_s: int


def compare_days(
    store: Store,
    roads: RoadEngine,
    solver: RouteSolver,
    wanted: DayOrder,
    count: int,
    progress: ProgressLine | None = None,
) -> dict[str, Any]:
    """Return the figures of working days ordered together and one by one, as plain values.

    Raises
    ------
    PlanError
        If nobody works, there is no place to start from, or a plan breaks a limit.
    RoadError
        If the roads cannot be used.
    """
    with store.reading() as session:
        known, promised = days_input(session, wanted, count)
    several = pose_days(known, promised, roads).several
    at_once = solve(solver, several, wanted.search, progress)
    return {
        "dates": [one.on_date.isoformat() for one in several.days],
        "seed": wanted.search.seed,
        "seconds": wanted.search.seconds,
        "rounds": wanted.search.rounds,
        "together": asdict(
            figures(several, [solution_of_day(several, at_once, day) for day in range(count)])
        ),
        "one_by_one": asdict(figures(several, _one_by_one(solver, several, wanted, progress))),
    }


def _one_by_one(
    solver: RouteSolver, several: Several, wanted: DayOrder, progress: ProgressLine | None
) -> Answers:
    """Order each day by itself, from what the days before left."""
    made: MadeOn = {}
    answers = []
    for day, one in enumerate(several.days):
        problem = without_made(one.problem, day, made)
        search = wanted.search
        solution = solver.solve(
            problem,
            seconds=search.seconds,
            rounds=search.rounds,
            seed=search.seed,
            progress=progress,
        )
        answers.append((problem, solution))
        made |= {one: [day] for one in _made(problem, solution)}
    return answers


def _made(problem: DayProblem, solution: Solution) -> list[str]:
    return [
        problem.visits[call.which].id
        for calls in solution.routes
        for call in calls
        if not call.is_fill
    ]


def figures(several: Several, answers: Answers) -> Figures:
    """Return what solutions of the days come to, each checked.

    Raises
    ------
    PlanError
        If one of them breaks a limit.
    """
    totals = [
        check(problem, one.routes, appointed=one.appointed, required_may_wait=True)
        for problem, one in answers
    ]
    made = {
        (visit, day): several.days[day].due[visit]
        for day, (problem, one) in enumerate(answers)
        for visit in _made(problem, one)
        if visit in several.days[day].due
    }
    sites = {visit for visit, _ in made}
    left = [due for visit, due in several.days[-1].due.items() if visit not in sites]
    late = {due.site_id for due in [*made.values(), *left] if due.days_overdue > 0}
    late -= {due.site_id for due in several.days[0].due.values() if due.days_overdue > 0}
    waits_s = 0
    for occasions in several.visits:
        own = {day: several.days[day].problem.visits[i] for day, i in occasions.items()}
        prices_s, never_s = waiting_prices(several.days, own)
        visit = next(iter(own.values())).id
        waits_s += next((prices_s[day] for day in own if (visit, day) in made), never_s)
    return Figures(
        drive_s=sum(one.drive_s for one in totals),
        drive_m=sum(one.drive_m for one in totals),
        visits=len(made),
        visits_by_day=tuple(sum(day == on for _, on in made) for day in range(len(several.days))),
        made_overdue_days=sum(max(0, due.days_overdue) for due in made.values()),
        left=len(left),
        left_overdue=sum(due.days_overdue > 0 for due in left),
        left_overdue_days=sum(max(0, due.days_overdue) for due in left),
        became_overdue=len(late),
        cost_s=sum(one.drive_s + one.other_s for one in totals) + waits_s,
    )
