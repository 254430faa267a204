"""How far one more visit is from fitting on a route, and what it would cost there.

The shortfall is the time warp of Vidal, Crainic, Gendreau and Prins, "A hybrid genetic algorithm
with adaptive diversity management for a large class of vehicle routing problems with
time-windows", Computers & Operations Research 40(1), 2013: where a window is missed, time is
turned back to its end, and what was turned back is summed up.
"""

import math
from dataclasses import dataclass

from registry.plan.clock import Leg, legs_of
from registry.plan.problem import (
    UNREACHABLE_S,
    WATER_SLACK_GAL,
    Call,
    DayProblem,
    Lunch,
    RouteCalls,
    drive_of,
)

NEVER_S = UNREACHABLE_S
"""A shortfall that no overtime mends: no road, or a tank too small."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way to have a visit on a route: the calls then, the driving added, the minutes missing."""

    technician: int
    calls: RouteCalls
    added_s: int
    short_s: int

    @property
    def fits(self) -> bool:
        """Whether the route holds then."""
        return self.short_s == 0


def short_s(problem: DayProblem, technician: int, calls: RouteCalls) -> int:
    """Return how many seconds a route is short, 0 = it fits, ``NEVER_S`` = no time would help."""
    if not tanks_last(problem, technician, calls):
        return NEVER_S
    who = problem.technicians[technician]
    legs = legs_of(problem, technician, calls)
    if any(leg.drive_s >= UNREACHABLE_S for leg in legs):
        return NEVER_S
    shifts = (who.shift_from_s, who.shift_to_s + who.overtime_s)
    most_s, drive_s = who.most_drive_s, sum(leg.drive_s for leg in legs)
    over_s = 0 if most_s is None else max(0, drive_s - most_s)
    without = _warp(legs, shifts, who.lunch, None)
    if without == 0 or who.lunch is None:
        return max(without, over_s)
    lunch_legs = range(len(legs))
    with_lunch = min(_warp(legs, shifts, who.lunch, number) for number in lunch_legs)
    return max(min(without, with_lunch), over_s)


def _warp(
    legs: list[Leg], shift: tuple[int, int], lunch: Lunch | None, lunch_leg: int | None
) -> int:
    """Return the time turned back on a route with lunch on a given leg."""
    now_s, turned_s = shift[0], 0
    for number, leg in enumerate(legs):
        arrives_s = now_s + leg.drive_s
        if lunch is not None and number == lunch_leg:
            if now_s > lunch.to_s:
                turned_s += now_s - lunch.to_s
                arrives_s -= now_s - lunch.to_s
            arrives_s = max(arrives_s, lunch.from_s) + lunch.duration_s
        if leg.windows and arrives_s > leg.windows[-1][1]:
            turned_s += arrives_s - leg.windows[-1][1]
            arrives_s = leg.windows[-1][1]
        opens = next((opens for opens, closes in leg.windows if arrives_s <= closes), arrives_s)
        now_s = max(arrives_s, opens) + leg.service_s
    late_s = max(0, now_s - shift[1])
    if lunch is not None and lunch_leg is None:
        late_s = max(late_s, now_s - lunch.to_s)
    return turned_s + late_s


def tanks_last(problem: DayProblem, technician: int, calls: RouteCalls) -> bool:
    """Tell whether water and room for septage last from one fill or disposal to the next."""
    return empty_at(problem, technician, calls) is None


def empty_at(problem: DayProblem, technician: int, calls: RouteCalls) -> tuple[int, bool] | None:
    """Return at which call a tank does not last, and whether it is room for septage that lacks."""
    who = problem.technicians[technician]
    tank_gal = math.inf if who.tank_gal is None else who.tank_gal + WATER_SLACK_GAL
    room_gal = math.inf if who.room_gal is None else who.room_gal + WATER_SLACK_GAL
    used_gal, aboard_gal = who.water_used_gal, who.septage_gal
    for at, call in enumerate(calls):
        if call.is_fill and problem.fills[call.which].empties:
            aboard_gal = 0.0
        elif call.is_fill:
            used_gal = 0.0
        else:
            used_gal += problem.visits[call.which].water_gal
            aboard_gal += problem.visits[call.which].septage_gal
        if used_gal > tank_gal or aboard_gal > room_gal:
            return at, used_gal <= tank_gal
    return None


def best_way(problem: DayProblem, technician: int, calls: RouteCalls, visit: int) -> Way:
    """Return the best way to put one more visit on a route: one that fits, else the least short.

    A fill or disposal stop is added where a tank would not last otherwise.
    """
    before_s = drive_of(problem, technician, calls)[0]
    best: Way | None = None
    for gap in range(len(calls) + 1):
        new = (*calls[:gap], Call(visit), *calls[gap:])
        options = [new]
        if (lacking := empty_at(problem, technician, new)) is not None:
            options = [
                (*new[:at], Call(number, is_fill=True), *new[at:])
                for number, fill in enumerate(problem.fills)
                if fill.empties == lacking[1]
                for at in range(len(new))
            ] or [new]
        for option in options:
            way = Way(
                technician=technician,
                calls=option,
                added_s=drive_of(problem, technician, option)[0] - before_s,
                short_s=short_s(problem, technician, option),
            )
            if best is None or (way.short_s, way.added_s) < (best.short_s, best.added_s):
                best = way
    if best is None:
        raise AssertionError("a route has at least one gap")
    return best
