"""Days with visits that depend on each other, for a solver that searches each route by itself.

The solver orders the day without them; then each knot is put where it costs least, which fixes
moments and people, and the solver orders everything again around these moments: once with the
knots that found room, once with those that seem worth pushing others out for, and once more around
the better of the two. The best plan counts.
"""

from dataclasses import dataclass, replace

from registry.plan.breach import BreachKind
from registry.plan.check import breaches
from registry.plan.cost import cost_of
from registry.plan.ports import ProgressLine, RouteSolver, Stop
from registry.plan.problem import (
    ANYWHERE,
    Appointed,
    DayProblem,
    RouteCalls,
    Solution,
    with_appointed,
)
from registry.plan.shortfall import short_s
from registry.solvers.knots import Tied, knots_of, tie

ORDERINGS = 4
"""How often the day is ordered, each time with the same share of the effort."""


@dataclass(frozen=True, slots=True)
class LinkedSolver:
    """A solver for linked visits and visits made anywhere, around one that knows neither."""

    inner: RouteSolver

    def solve(
        self,
        problem: DayProblem,
        *,
        seconds: float | None = None,
        rounds: int | None = None,
        seed: int = 1,
        progress: ProgressLine | None = None,
        stop: Stop | None = None,
    ) -> Solution:
        """Return the best routes found; see ``RouteSolver``."""
        knots = knots_of(problem)
        if not knots or not problem.technicians:
            return self.inner.solve(
                problem, seconds=seconds, rounds=rounds, seed=seed, progress=progress, stop=stop
            )
        members = {visit for knot in knots for visit in knot}
        tied = Tied(without(problem, members), ())
        best: Solution | None = None
        pushing = pushed_for_best = False
        done, spent = 0, 0.0
        for turn in range(ORDERINGS):
            found = self.inner.solve(
                tied.problem,
                seconds=None if seconds is None else seconds / ORDERINGS,
                rounds=None if rounds is None else max(1, rounds // ORDERINGS),
                seed=seed,
                progress=progress,
            )
            done, spent = done + found.rounds, spent + found.seconds
            found = replace(found, appointed=appointed_in(problem, tied.problem))
            if best is None or standing(problem, found) < standing(problem, best):
                best, pushed_for_best = found, pushing
            pushing = (False, True, pushed_for_best, False)[turn]
            free = tuple(
                tuple(call for call in calls if call.is_fill or call.which not in members)
                for calls in best.routes
            )
            tied = tie_all(problem, free, knots, pushing=pushing)
        if best is None:
            raise AssertionError("the solver was never asked")
        return replace(best, rounds=done, seconds=spent)


def without(problem: DayProblem, members: set[int]) -> DayProblem:
    """Return a problem in which nobody makes some visits."""
    nobody = frozenset(range(len(problem.technicians)))
    start = problem.technicians[0].start_place
    visits = [
        replace(
            visit,
            ruled_out=nobody,
            required=False,
            place=start if visit.place == ANYWHERE else visit.place,
        )
        if i in members
        else visit
        for i, visit in enumerate(problem.visits)
    ]
    return replace(problem, visits=tuple(visits), links=())


def tie_all(
    problem: DayProblem,
    routes: tuple[RouteCalls, ...],
    knots: list[tuple[int, ...]],
    *,
    pushing: bool = False,
) -> Tied:
    """Return a plan with every knot that is worth it, and as problem what is left to search.

    Where a knot that must be made finds no room, its moments are taken from routes that hold only
    what must be made, and the search makes room; if ``pushing``, the same is done for a knot that
    is worth more than what it would push out.
    """
    plan = Tied(problem, routes)
    bare = tuple(
        tuple(call for call in calls if not call.is_fill and problem.visits[call.which].required)
        for calls in routes
    )
    left_out: set[int] = set()
    for knot in knots:
        visits = [problem.visits[one] for one in knot]
        must = any(visit.required for visit in visits)
        worth_s = sum(visit.worth_s for visit in visits)
        tied = tie(plan, knot) if must else tie(plan, knot, worth_s)
        if tied is None and (must or (pushing and worth_s > _pushed_out_s(problem, routes, knot))):
            alone = tie(Tied(plan.problem, bare), knot)
            if alone is not None:
                tied, bare = Tied(alone.problem, plan.routes), alone.routes
        if tied is None:
            left_out |= set(knot)
        else:
            plan = tied
            for one in knot:
                plan = plan.with_visit(one, required=True)
    return Tied(without(replace(plan.problem, links=()), left_out), plan.routes)


def _pushed_out_s(
    problem: DayProblem, routes: tuple[RouteCalls, ...], knot: tuple[int, ...]
) -> int:
    """Return about what the visits are worth that would give up their time for a knot."""
    made = [problem.visits[call.which] for calls in routes for call in calls if not call.is_fill]
    takes_s = sum(problem.visits[one].service_s for one in knot)
    pushed_s = 0
    for visit in sorted(made, key=lambda one: one.worth_s / max(1, one.service_s)):
        if takes_s <= 0:
            break
        if not visit.required:
            takes_s -= visit.service_s
            pushed_s += visit.worth_s
    return pushed_s


def appointed_in(problem: DayProblem, tied: DayProblem) -> tuple[Appointed, ...]:
    """Return the windows that were given to visits."""
    return tuple(
        Appointed(i, *now.windows[0])
        for i, (own, now) in enumerate(zip(problem.visits, tied.visits, strict=True))
        if own.windows != now.windows
    )


def holds(problem: DayProblem, plan: Solution) -> bool:
    """Tell whether a plan breaks nothing, but for visits that must be made and are not."""
    found = breaches(problem, plan.routes, plan.appointed)
    return all(one.kind is BreachKind.REQUIRED for one in found)


def standing(problem: DayProblem, found: Solution) -> tuple[bool, int, int]:
    """Return how good a plan is, the smaller the better: it holds, what must be made is, cost."""
    told = with_appointed(problem, found.appointed)
    holds = all(short_s(told, k, calls) == 0 for k, calls in enumerate(found.routes) if calls)
    made = {call.which for calls in found.routes for call in calls if not call.is_fill}
    missing = sum(visit.required and i not in made for i, visit in enumerate(problem.visits))
    return not holds, missing, cost_of(told, found.routes) if holds else 0
