"""The independent check of linked visits: one after the other, or two technicians at once."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from registry.plan.breach import Breach, BreachKind
from registry.plan.check_route import Run
from registry.plan.problem import DayProblem, Link, RouteCalls


class Served(NamedTuple):
    """Who makes a visit, and when its service starts and ends."""

    technician: int
    starts_s: int
    ends_s: int


def link_breaches(
    problem: DayProblem, routes: Sequence[RouteCalls], runs: Mapping[int, Run]
) -> list[Breach]:
    """Return which linked visits do not agree; ``runs`` holds the run of each route driven."""
    made = {call.which for calls in routes for call in calls if not call.is_fill}
    when = {
        call.which: Served(number, *service)
        for number, run in runs.items()
        for call, service in zip(routes[number], run.served, strict=False)
        if not call.is_fill
    }
    found = []
    for link in problem.links:
        text = _one_missing(problem, link, made)
        if text is None and link.first in when and link.then in when:
            text = _out_of_step(problem, link, when[link.first], when[link.then])
        if text is not None:
            found.append(Breach(BreachKind.LINK, text))
    return found


def _one_missing(problem: DayProblem, link: Link, made: set[int]) -> str | None:
    first, then = problem.visits[link.first].name, problem.visits[link.then].name
    if link.together and (link.first in made) != (link.then in made):
        return f"{first} and {then} are made together or not at all."
    if link.then in made and link.first not in made:
        return f"{then} is not made without {first}."
    return None


def _out_of_step(problem: DayProblem, link: Link, one: Served, other: Served) -> str | None:
    first, then = problem.visits[link.first].name, problem.visits[link.then].name
    if link.together:
        if one.technician == other.technician or one.starts_s != other.starts_s:
            return f"{first} and {then} need two technicians at the same moment."
        return None
    if other.starts_s < one.ends_s:
        return f"{then} starts before {first} is over."
    if link.same_truck and one.technician != other.technician:
        return f"{first} and {then} need the same truck."
    return None
