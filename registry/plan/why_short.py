"""What a route lacks for one more visit: time, driving, water, room for septage, or a road."""

from dataclasses import replace

from registry.plan.problem import DayProblem, DayVisit, OnDuty
from registry.plan.say import clock, minutes
from registry.plan.shortfall import NEVER_S, short_s
from registry.plan.tanks import empty_at
from registry.plan.ways import Way
from registry.plan.why_able import Reason
from registry.plan.words import WhyWord


def missing(problem: DayProblem, way: Way) -> Reason:
    """Return which limit a way does not keep, and by how much, in words."""
    who = problem.technicians[way.technician]
    if way.short_s >= NEVER_S:
        lacking = empty_at(problem, way.technician, way.calls)
        if lacking is not None and lacking[1]:
            return WhyWord.SEPTAGE, "there is no room for its septage, and no disposal stop helps"
        if lacking is not None:
            return WhyWord.WATER, "the tank would not last, and no fill stop helps"
        by_truck = " that the truck may take" if who.table else ""
        return WhyWord.UNREACHABLE, f"no road{by_truck} leads there and back"
    if who.most_drive_s is not None and _fits_if_driven(problem, way):
        allowed = minutes(who.most_drive_s)
        return WhyWord.DRIVING, (
            f"it would take {minutes(way.short_s)} more driving than the {allowed} allowed"
        )
    return WhyWord.NO_ROOM, f"it is {minutes(way.short_s)} short"


def before_when(who: OnDuty, what: DayVisit) -> str:
    """Return by when work must start, where the site closes before the shift does."""
    closes_s = what.windows[-1][1]
    early = closes_s < who.shift_to_s - what.service_s
    return f" before {clock(closes_s)}" if early else ""


def _fits_if_driven(problem: DayProblem, way: Way) -> bool:
    crew = [
        replace(who, most_drive_s=None) if k == way.technician else who
        for k, who in enumerate(problem.technicians)
    ]
    return short_s(replace(problem, technicians=tuple(crew)), way.technician, way.calls) == 0
