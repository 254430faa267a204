"""What another visit asks of one that waits: to come after it, with it, or by the same truck."""

from dataclasses import dataclass, replace

from registry.errors import PlanError
from registry.plan.clock import route_times
from registry.plan.problem import Call, DayProblem, RouteCalls, Window
from registry.plan.say import clock


@dataclass(frozen=True, slots=True, eq=False)
class Linked:
    """A problem in which a visit keeps its links by its own windows and holder.

    ``lead`` says in words what it waits for. ``blocked``: it cannot be made as things stand.
    ``partner`` names the visit that two technicians make together with it.
    """

    problem: DayProblem
    lead: str = ""
    blocked: str = ""
    partner: str = ""


def linked(problem: DayProblem, routes: tuple[RouteCalls, ...], visit: int) -> Linked:
    """Return what the links of a visit on no route come to, the other routes being as they are."""
    seen = Linked(problem)
    for link in problem.links:
        if link.together and visit in (link.first, link.then):
            other = link.then if link.first == visit else link.first
            seen = replace(seen, partner=problem.visits[other].name)
        elif link.then == visit:
            name = problem.visits[link.first].name
            over = over_s(problem, routes, link.first)
            if over is None:
                text = f"Comes after {name}, which is on no route itself."
                return replace(seen, blocked=text)
            technician, ends_s = over
            what = seen.problem.visits[visit]
            windows = _from(what.windows, ends_s)
            truck = " and by the same truck" if link.same_truck else ""
            lead = f"Comes after {name}{truck}, which is over at {clock(ends_s)}."
            if not windows:
                text = f"{lead} Work may not start there as late as that."
                return replace(seen, blocked=text)
            held = technician if link.same_truck else what.held_by
            changed = replace(what, windows=windows, held_by=held)
            visits = (*problem.visits[:visit], changed, *problem.visits[visit + 1 :])
            seen = replace(seen, problem=replace(seen.problem, visits=visits), lead=lead)
    return seen


def over_s(
    problem: DayProblem, routes: tuple[RouteCalls, ...], visit: int
) -> tuple[int, int] | None:
    """Return who makes a visit and when it is over, None if it is on no route that holds."""
    for technician, calls in enumerate(routes):
        if Call(visit) in calls:
            try:
                times = route_times(problem, technician, calls)
            except PlanError:
                return None
            return technician, times.calls[calls.index(Call(visit))].leaves_s
    return None


def _from(windows: tuple[Window, ...], moment_s: int) -> tuple[Window, ...]:
    """Return the parts of windows from a moment on."""
    return tuple((max(opens, moment_s), closes) for opens, closes in windows if closes >= moment_s)
