"""How far one more visit is from fitting on a route, and what it would cost there.

The shortfall is the time warp of Vidal, Crainic, Gendreau and Prins, "A hybrid genetic algorithm
with adaptive diversity management for a large class of vehicle routing problems with
time-windows", Computers & Operations Research 40(1), 2013: where a window is missed, time is
turned back to its end, and what was turned back is summed up; so it is where a road has closed.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from registry.plan.clock import Leg, best_lunch_leg, legs_of
from registry.plan.driving import drive_of, driven_s
from registry.plan.problem import (
    UNREACHABLE_S,
    WATER_SLACK_GAL,
    Call,
    DayProblem,
    Lunch,
    RouteCalls,
)
from registry.plan.road_hours import last_departure_s

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
    return _short_s(problem, technician, legs_of(problem, technician, calls))


def _short_s(problem: DayProblem, technician: int, legs: list[Leg]) -> int:
    """Return how many seconds a route is short whose tanks last."""
    who = problem.technicians[technician]
    if any(leg.is_cut_off for leg in legs):
        return NEVER_S
    most_s = who.most_drive_s
    over_s = 0 if most_s is None else max(0, driven_s(problem, technician, legs) - most_s)
    shift = (who.shift_from_s, who.shift_to_s + who.overtime_s)
    if best_lunch_leg(legs, who.lunch, *shift)[0]:
        return over_s
    return max(_least_turned_s(legs, shift, who.lunch), over_s)


def _fits(problem: DayProblem, technician: int, legs: list[Leg]) -> bool:
    """Tell whether a route holds whose tanks last; the same as nothing short, but sooner known."""
    who = problem.technicians[technician]
    from_s, to_s = who.shift_from_s, who.shift_to_s + who.overtime_s
    least_s = sum(leg.least_s + leg.service_s for leg in legs)
    if from_s + least_s > to_s or not best_lunch_leg(legs, who.lunch, from_s, to_s)[0]:
        return False
    return who.most_drive_s is None or driven_s(problem, technician, legs) <= who.most_drive_s


def _least_turned_s(legs: list[Leg], shift: tuple[int, int], lunch: Lunch | None) -> int:
    """Return the time turned back on a route, lunch where it costs the least of it.

    Routes with lunch on different legs are alike up to the earlier of the two; that part is walked
    once, and a rest is left as soon as it turns back more than the best known.
    """
    now_s, turned_s = shift[0], 0
    best_s = NEVER_S
    for number, leg in enumerate(legs):
        if lunch is not None:
            fed_s, fed_turned_s = _after(leg, now_s, lunch)
            fed_turned_s += turned_s
            for later in legs[number + 1 :]:
                if fed_turned_s >= best_s:
                    break
                fed_s, more_s = _after(later, fed_s)
                fed_turned_s += more_s
            best_s = min(best_s, fed_turned_s + max(0, fed_s - shift[1]))
        now_s, more_s = _after(leg, now_s)
        turned_s += more_s
    ends_s = shift[1] if lunch is None else min(shift[1], lunch.to_s)
    return min(best_s, turned_s + max(0, now_s - ends_s))


def _after(leg: Leg, now_s: int, lunch: Lunch | None = None) -> tuple[int, int]:
    """Return when a leg’s service is over, and what is turned back on it; with lunch on its way."""
    turned_s = 0
    if lunch is not None:
        turned_s = max(0, now_s - lunch.to_s)
        now_s -= turned_s
    arrives = leg.reached_s(now_s) if lunch is None else leg.reached_fed_s(now_s, lunch)
    if arrives is None:  # the road has closed: back to where it could still be taken
        lunch_s = 0 if lunch is None else lunch.duration_s
        gone_s = last_departure_s(leg.ways) - lunch_s
        turned_s += max(1, now_s - gone_s)
        arrives = gone_s + leg.least_s + lunch_s
    arrives_s = arrives
    if not leg.windows:
        return arrives_s + leg.service_s, turned_s
    last_s = leg.windows[-1][1]
    if arrives_s > last_s:
        return last_s + leg.service_s, turned_s + arrives_s - last_s
    opens_s = next(opens for opens, closes in leg.windows if arrives_s <= closes)
    return max(arrives_s, opens_s) + leg.service_s, turned_s


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
    found = cheapest_fit(problem, technician, calls, visit)
    if found is not None:
        return found
    before_s = drive_of(problem, technician, calls)[0]
    ways = [
        Way(
            technician=technician,
            calls=option,
            added_s=driven_s(problem, technician, legs) - before_s,
            short_s=_short_s(problem, technician, legs) if lasts else NEVER_S,
        )
        for option, lasts in _with_one_more(problem, technician, calls, visit)
        for legs in [legs_of(problem, technician, option)]
    ]
    return min(ways, key=lambda way: (way.short_s, way.added_s))


def cheapest_fit(problem: DayProblem, technician: int, calls: RouteCalls, visit: int) -> Way | None:
    """Return the way with the least driving to put one more visit on a route that fits then."""
    before_s = drive_of(problem, technician, calls)[0]
    best: Way | None = None
    for option, lasts in _with_one_more(problem, technician, calls, visit):
        if not lasts:
            continue
        legs = legs_of(problem, technician, option)
        least_s = sum(leg.least_s for leg in legs) - before_s
        if (best is None or least_s < best.added_s) and _fits(problem, technician, legs):
            added_s = driven_s(problem, technician, legs) - before_s
            if best is None or added_s < best.added_s:
                best = Way(technician=technician, calls=option, added_s=added_s, short_s=0)
    return best


def _with_one_more(
    problem: DayProblem, technician: int, calls: RouteCalls, visit: int
) -> Iterator[tuple[RouteCalls, bool]]:
    """Yield a route with a visit in each gap, and whether its tanks last then.

    Where a tank would not last, a stop at each fill or disposal that helps is tried everywhere.
    """
    for gap in range(len(calls) + 1):
        new = (*calls[:gap], Call(visit), *calls[gap:])
        lacking = empty_at(problem, technician, new)
        if lacking is None:
            yield new, True
            continue
        helped = [
            (*new[:at], Call(number, is_fill=True), *new[at:])
            for number, fill in enumerate(problem.fills)
            if fill.empties == lacking[1]
            for at in range(len(new))
        ]
        for option in helped:
            yield option, tanks_last(problem, technician, option)
        if not helped:
            yield new, False
