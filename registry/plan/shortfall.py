"""How far a route is from holding: the time and the driving that it lacks.

The shortfall is the time warp of Vidal, Crainic, Gendreau and Prins, "A hybrid genetic algorithm
with adaptive diversity management for a large class of vehicle routing problems with
time-windows", Computers & Operations Research 40(1), 2013: where a window is missed, time is
turned back to its end, and what was turned back is summed up; so it is where a road has closed.
"""

from registry.plan.clock import Leg, best_lunch_leg, legs_of
from registry.plan.driving import driven_s
from registry.plan.gaps import Clocks, Gaps, Option
from registry.plan.problem import UNREACHABLE_S, DayProblem, Lunch, OnDuty, RouteCalls
from registry.plan.road_hours import last_departure_s
from registry.plan.tanks import tanks_last

NEVER_S = UNREACHABLE_S
"""A shortfall that no overtime mends: no road, or a tank too small."""


def short_s(problem: DayProblem, technician: int, calls: RouteCalls) -> int:
    """Return how many seconds a route is short, 0 = it fits, ``NEVER_S`` = no time would help."""
    legs = legs_of(problem, technician, calls)
    if not tanks_last(problem, technician, calls) or any(leg.is_cut_off for leg in legs):
        return NEVER_S
    who = problem.technicians[technician]
    shift = (who.shift_from_s, who.shift_to_s + who.overtime_s)
    fits = best_lunch_leg(legs, who.lunch, *shift)[0]
    return _missing_s(problem, technician, legs, fits)


def short_with_s(known: Clocks, technician: int, gaps: Gaps, option: Option, most_s: int) -> int:
    """Return how many seconds a route with calls more is short; see ``_missing_s``."""
    if option.is_cut_off or not tanks_last(known.problem, technician, option.calls):
        return NEVER_S
    legs = gaps.legs_with(option)
    return _missing_s(known.problem, technician, legs, gaps.holds(option), most_s)


def _missing_s(
    problem: DayProblem, technician: int, legs: list[Leg], fits: bool, most_s: int = NEVER_S
) -> int:
    """Return how much time or driving legs lack; beyond ``most_s`` any time that is more."""
    who = problem.technicians[technician]
    over_s = 0
    if who.most_drive_s is not None:
        over_s = max(0, driven_s(problem, technician, legs) - who.most_drive_s)
    if fits or over_s > most_s:
        return over_s
    shift = (who.shift_from_s, who.shift_to_s + who.overtime_s)
    return max(_least_turned_s(legs, shift, who.lunch, most_s), over_s)


def least_short_s(who: OnDuty, option: Option) -> int:
    """Return how many seconds a route is short at the least, as its work alone tells."""
    ends_s = who.shift_to_s + who.overtime_s
    if who.lunch is not None:
        ends_s = max(min(ends_s, who.lunch.to_s), ends_s - who.lunch.duration_s)
    over_s = 0 if who.most_drive_s is None else option.least_s - who.most_drive_s
    return min(NEVER_S, max(0, over_s, who.shift_from_s + option.busy_s - ends_s))


def _least_turned_s(
    legs: list[Leg], shift: tuple[int, int], lunch: Lunch | None, most_s: int
) -> int:
    """Return the time turned back on a route, lunch where it costs the least of it.

    Routes with lunch on different legs are alike up to the earlier of the two; that part is walked
    once, and a rest is left as soon as it turns back more than the best known, or than ``most_s``.
    """
    now_s, turned_s = shift[0], 0
    best_s = min(NEVER_S, most_s + 1)
    for number, leg in enumerate(legs):
        if turned_s >= best_s:
            return best_s
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
