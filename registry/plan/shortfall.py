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
from registry.plan.gaps import Clocks, Gaps, Option
from registry.plan.problem import (
    UNREACHABLE_S,
    WATER_SLACK_GAL,
    Call,
    DayProblem,
    Lunch,
    OnDuty,
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
    legs = legs_of(problem, technician, calls)
    if not tanks_last(problem, technician, calls) or any(leg.is_cut_off for leg in legs):
        return NEVER_S
    who = problem.technicians[technician]
    shift = (who.shift_from_s, who.shift_to_s + who.overtime_s)
    fits = best_lunch_leg(legs, who.lunch, *shift)[0]
    return _missing_s(problem, technician, legs, fits)


def _short_s(known: Clocks, technician: int, gaps: Gaps, option: Option, most_s: int) -> int:
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


def _least_short_s(who: OnDuty, option: Option) -> int:
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


def best_way(
    problem: DayProblem,
    technician: int,
    calls: RouteCalls,
    visit: int,
    known: Clocks | None = None,
) -> Way:
    """Return the best way to put one more visit on a route: one that fits, else the least short.

    A fill or disposal stop is added where a tank would not last otherwise. ``known`` is what was
    found out about the day before.
    """
    known = known or Clocks(problem)
    found = cheapest_fit(problem, technician, calls, visit, known)
    if found is not None:
        return found
    gaps, who = known.gaps(technician, calls), problem.technicians[technician]
    least = sorted(
        (_least_short_s(who, option) if lasts else NEVER_S, number, option)
        for number, (option, lasts) in enumerate(_with_one_more(known, technician, calls, visit))
    )
    best_s, alike = NEVER_S, list[tuple[int, Option]]()
    for least_s, number, option in least:
        if least_s > best_s:
            break
        missing_s = _short_s(known, technician, gaps, option, best_s)
        if missing_s < best_s:
            best_s, alike = missing_s, []
        if missing_s == best_s:
            alike.append((number, option))
    before_s = known.told(drive_of, technician, calls)[0]
    added_s, _, calls = min(
        (driven_s(problem, technician, gaps.legs_with(option)) - before_s, number, option.calls)
        for number, option in alike
    )
    return Way(technician=technician, calls=calls, added_s=added_s, short_s=best_s)


def cheapest_fit(
    problem: DayProblem,
    technician: int,
    calls: RouteCalls,
    visit: int,
    known: Clocks | None = None,
) -> Way | None:
    """Return the way with the least driving to put one more visit on a route that fits then."""
    known = known or Clocks(problem)
    gaps, who = known.gaps(technician, calls), problem.technicians[technician]
    before_s = known.told(drive_of, technician, calls)[0]
    best: tuple[int, int, RouteCalls] | None = None
    fitting = sorted(
        (option.least_s - before_s, number, option)
        for number, (option, lasts) in enumerate(_with_one_more(known, technician, calls, visit))
        if lasts and not _least_short_s(who, option)
    )
    for least_s, number, option in fitting:
        if best is not None and (least_s, number) > best[:2]:
            break
        if not gaps.holds(option) or not tanks_last(problem, technician, option.calls):
            continue
        drive_s = driven_s(problem, technician, gaps.legs_with(option))
        if who.most_drive_s is not None and drive_s > who.most_drive_s:
            continue
        one = drive_s - before_s, number, option.calls
        best = one if best is None else min(best, one)
    if best is None:
        return None
    return Way(technician=technician, calls=best[2], added_s=best[0], short_s=0)


def _with_one_more(
    known: Clocks, technician: int, calls: RouteCalls, visit: int
) -> Iterator[tuple[Option, bool]]:
    """Yield a route with a visit in each gap, and whether its tanks may last then.

    Where a tank would not last, a stop at each fill or disposal that helps is tried everywhere.
    """
    problem, gaps = known.problem, known.gaps(technician, calls)
    added = Call(visit)
    for gap in range(len(calls) + 1):
        lacking = empty_at(problem, technician, (*calls[:gap], added, *calls[gap:]))
        helping = [
            Call(number, is_fill=True)
            for number, fill in enumerate(problem.fills)
            if lacking is not None and fill.empties == lacking[1]
        ]
        if lacking is None or not helping:
            yield gaps.option(gap, (added,), gap), lacking is None
        for fill in helping:
            for at in range(gap + 1):
                yield gaps.option(at, (fill, *calls[at:gap], added), gap), True
            for at in range(gap, len(calls)):
                yield gaps.option(gap, (added, *calls[gap:at], fill), at), True
