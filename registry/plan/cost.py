"""What a plan costs, in seconds of driving.

The driving of all technicians, the worth of every visit on no route, overtime, work beyond an even
share, and what it costs to give a visit to another technician than the usual one. Waiting and lunch
cost nothing.
"""

from registry.plan.clock import route_times
from registry.plan.driving import drive_of
from registry.plan.problem import PERCENT, DayProblem, RouteCalls


def route_cost(
    problem: DayProblem,
    technician: int,
    calls: RouteCalls,
    returns_s: int | None = None,
    drive_s: int | None = None,
) -> int:
    """Return what one route costs; each price is cut to whole seconds.

    ``returns_s`` is when it is over, where that is known or the route does not keep its hours;
    ``drive_s`` what is driven, where that is known.

    Raises
    ------
    PlanError
        If overtime is priced and the route does not keep its hours.
    """
    if not calls:
        return 0
    who = problem.technicians[technician]
    if drive_s is None:
        drive_s = drive_of(problem, technician, calls)[0]
    cost = drive_s
    if who.overtime_s:
        if returns_s is None:
            returns_s = route_times(problem, technician, calls).returns_s
        late_s = max(0, returns_s - who.shift_to_s)
        cost += late_s * who.overtime_percent // PERCENT
    if who.even_s is not None:
        beyond_s = max(0, drive_s + service_of(problem, calls) - who.even_s)
        cost += beyond_s * who.uneven_percent // PERCENT
    return cost + sum(
        problem.visits[call.which].extra_s(technician) for call in calls if not call.is_fill
    )


def service_of(problem: DayProblem, calls: RouteCalls) -> int:
    """Return the seconds of service on a route, filling included."""
    return sum(
        (problem.fills if call.is_fill else problem.visits)[call.which].service_s for call in calls
    )


def cost_of(problem: DayProblem, routes: tuple[RouteCalls, ...]) -> int:
    """Return the cost of routes."""
    driven = sum(route_cost(problem, k, calls) for k, calls in enumerate(routes))
    return driven + waiting_worth_s(problem, routes)


def waiting_worth_s(problem: DayProblem, routes: tuple[RouteCalls, ...]) -> int:
    """Return what the visits on no route are worth."""
    made = {call.which for calls in routes for call in calls if not call.is_fill}
    return sum(visit.worth_s for i, visit in enumerate(problem.visits) if i not in made)
