"""Questions about a day that change nothing: what would be different if things were otherwise.

Each wish turns the day's problem into another one and says from which routes to start.
``registry.plan.difference`` compares what comes of it with the plan as it is.
"""

from dataclasses import replace

from registry.errors import RangeError
from registry.plan.from_day import AtHand
from registry.plan.problem import (
    Call,
    DayVisit,
)
from registry.plan.room_made import room_made
from registry.plan.ways import best_way

EXTRA = "extra"
"""The id of a technician who is sent besides."""


def with_visit_put(plan: AtHand, visit: int, technician: int) -> AtHand:
    """Return a plan that must have a visit on a technician's route.

    The visit comes where it fits best; if it fits nowhere, the visits fall out that cost least.

    Raises
    ------
    RangeError
        If the technician may not make the visit.
    """
    problem = plan.problem
    what, who = problem.visits[visit], problem.technicians[technician]
    if not problem.may_make(technician, visit):
        raise RangeError(f"{who.name} may not make the visit of {what.name}.")
    held = replace(what, held_by=technician, required=True, usual=None)
    visits = (*problem.visits[:visit], held, *problem.visits[visit + 1 :])
    changed = replace(problem, visits=visits)
    routes = [tuple(call for call in calls if call != Call(visit)) for calls in plan.routes]
    if Call(visit) in plan.routes[technician]:
        return replace(plan, problem=changed)
    way = best_way(plan.fixed, technician, routes[technician], visit)
    making = None if way.fits else room_made(plan.fixed, technician, routes[technician], visit)
    if way.fits:
        routes[technician] = way.calls
    elif making is not None:
        routes[technician] = making.calls
    return replace(
        plan,
        problem=changed,
        routes=tuple(routes),
        appointed=tuple(one for one in plan.appointed if one.visit != visit),
    )


def with_another_technician(plan: AtHand, like: int, name: str = "") -> AtHand:
    """Return a plan with one more technician, who can do what another one can."""
    problem = plan.problem
    model = problem.technicians[like]
    fresh = replace(model, id=EXTRA, name=name or f"Somebody like {model.name}")
    number = len(problem.technicians)

    def known(visit: DayVisit) -> DayVisit:
        ruled_out = visit.ruled_out | {number} if like in visit.ruled_out else visit.ruled_out
        prices = (*visit.prices_s, visit.prices_s[like]) if visit.prices_s else ()
        return replace(visit, ruled_out=ruled_out, prices_s=prices)

    return replace(
        plan,
        problem=replace(
            problem,
            technicians=(*problem.technicians, fresh),
            visits=tuple(known(visit) for visit in problem.visits),
        ),
        routes=(*plan.routes, ()),
    )


def with_more_hours(plan: AtHand, technician: int, more_s: int) -> AtHand:
    """Return a plan in which a technician's shift ends later, or sooner. [s]."""
    crew = list(plan.problem.technicians)
    who = crew[technician]
    ends_s = max(who.shift_from_s, who.shift_to_s + more_s)
    crew[technician] = replace(who, shift_to_s=ends_s)
    return replace(plan, problem=replace(plan.problem, technicians=tuple(crew)))
