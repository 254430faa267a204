"""The clock of a route that need not hold: whoever is late drives on, and it is told by how much.

Work late at one gate makes the next one late too, so the times are those that would really be. Of
all places for lunch the one is taken with which the route gets furthest before anything gives way,
then the one that is late by the least in all.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from registry.plan.breach import BreachKind
from registry.plan.clock import Leg, RouteTimes, best_lunch_leg, lay_out, legs_of
from registry.plan.problem import DayProblem, Lunch, OnDuty, RouteCalls
from registry.plan.road_hours import last_departure_s


class Late(NamedTuple):
    """Where a route misses its hours: at call ``at`` (the number of calls: on the way back)."""

    at: int
    kind: BreachKind
    by_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DrivenOn:
    """The times of a route, and where it misses its hours (nowhere: it holds)."""

    times: RouteTimes
    late: tuple[Late, ...]


def drive_on(problem: DayProblem, technician: int, calls: RouteCalls) -> DrivenOn:
    """Return the times of a route whether it holds or not; a road that is not there takes none."""
    return driven_on(problem.technicians[technician], legs_of(problem, technician, calls))


def driven_on(who: OnDuty, legs: Sequence[Leg]) -> DrivenOn:
    """Return the times of a technician's legs, the one back last; see ``drive_on``."""
    latest_s = who.shift_to_s + who.overtime_s
    fits, lunch_leg = best_lunch_leg(legs, who.lunch, who.shift_from_s, latest_s)
    if fits:
        times = lay_out(legs, who.lunch, who.shift_from_s, lunch_leg)
        return DrivenOn(times=times, late=())
    choices: list[int | None] = [None, *(range(len(legs)) if who.lunch is not None else ())]
    tried = [(_late(legs, who, leg), leg) for leg in choices]
    late, lunch_leg = min(tried, key=lambda one: (-_far(one[0], len(legs) - 1), _sum_s(one[0])))
    lifted = _without_limits(legs, late)
    times = lay_out(lifted, _at_any_hour(who.lunch, late), who.shift_from_s, lunch_leg)
    return DrivenOn(times=_with_windows(times, legs), late=late)


def first_late(legs: Sequence[Leg], who: OnDuty) -> tuple[Late | None, int]:
    """Return where a route first misses its hours, None = nowhere, and when it would be back.

    One pass along the legs with two clocks, lunch to come and lunch behind, as in
    ``registry.plan.clock``. The moment of return means nothing where hours are missed.
    """
    lunch, latest_s = who.lunch, who.shift_to_s + who.overtime_s
    hungry: int | None = who.shift_from_s
    fed: int | None = None
    for at, leg in enumerate(legs):
        if leg.is_cut_off:
            return Late(at, BreachKind.UNREACHABLE, 0), 0
        free_s = min(one for one in (hungry, fed) if one is not None)
        reached = [None if fed is None else leg.reached_s(fed)]
        if lunch is not None and hungry is not None:
            reached.append(leg.reached_fed_s(hungry, lunch))
        soonest_s = min((one for one in reached if one is not None), default=None)
        went_s = None if hungry is None else leg.reached_s(hungry)
        fed, hungry = leg.over_s(soonest_s), leg.over_s(went_s)
        if fed is None and hungry is None:
            arrived = [one for one in (soonest_s, went_s) if one is not None]
            if not arrived:
                return Late(at, BreachKind.CLOSED, _closed_by_s(leg, free_s)), 0
            return Late(at, BreachKind.WINDOW, min(arrived) - leg.windows[-1][1]), 0
    ends = [] if fed is None else [fed]
    if hungry is not None and (lunch is None or hungry <= lunch.to_s):
        ends.append(hungry)
    if not ends:
        missed_s = 0 if hungry is None or lunch is None else hungry - lunch.to_s
        return Late(len(legs) - 1, BreachKind.LUNCH, missed_s), 0
    if min(ends) > latest_s:
        return Late(len(legs) - 1, BreachKind.SHIFT, min(ends) - latest_s), min(ends)
    return None, min(ends)


def _closed_by_s(leg: Leg, now_s: int) -> int:
    """Return by how much a leg is begun after the last road along it was to be taken. [s]."""
    return max(1, now_s - last_departure_s(leg.ways))


def _opened_s(leg: Leg, arrival_s: int) -> int:
    """Return when work starts for whoever arrives then: at once where every window has closed."""
    starts = (max(arrival_s, opens) for opens, closes in leg.windows if arrival_s <= closes)
    return next(starts, arrival_s)


def _late(legs: Sequence[Leg], who: OnDuty, lunch_leg: int | None) -> tuple[Late, ...]:
    """Drive a route with lunch on one leg and return where it misses its hours."""
    found: list[Late] = []
    now_s, lunch = who.shift_from_s, who.lunch
    for at, leg in enumerate(legs):
        eats = lunch if at == lunch_leg else None
        if leg.is_cut_off:
            found.append(Late(at, BreachKind.UNREACHABLE, 0))
            leg = leg._replace(drive_s=0)  # noqa: PLW2901 - the road that is not there takes no time
        if eats is not None and now_s > eats.to_s:
            found.append(Late(at, BreachKind.LUNCH, now_s - eats.to_s))
            eats = replace(eats, to_s=now_s)
        arrives = leg.reached_s(now_s) if eats is None else leg.reached_fed_s(now_s, eats)
        if arrives is None:
            found.append(Late(at, BreachKind.CLOSED, _closed_by_s(leg, now_s)))
            leg = _as_if_open(leg)  # noqa: PLW2901
            arrives = leg.reached_s(now_s) if eats is None else leg.reached_fed_s(now_s, eats)
        arrives_s = now_s if arrives is None else arrives
        if leg.windows and arrives_s > leg.windows[-1][1]:
            found.append(Late(at, BreachKind.WINDOW, arrives_s - leg.windows[-1][1]))
        now_s = _opened_s(leg, arrives_s) + leg.service_s
    if now_s > who.shift_to_s + who.overtime_s:
        over_s = now_s - who.shift_to_s - who.overtime_s
        found.append(Late(len(legs) - 1, BreachKind.SHIFT, over_s))
    if lunch is not None and lunch_leg is None and now_s > lunch.to_s:
        found.append(Late(len(legs) - 1, BreachKind.LUNCH, now_s - lunch.to_s))
    return tuple(found)


def _far(late: Sequence[Late], calls: int) -> int:
    """Return how many calls are made before anything gives way, one more for the way back."""
    first = late[0]
    back = first.at == calls and first.kind not in (BreachKind.UNREACHABLE, BreachKind.CLOSED)
    return calls + 1 if back else first.at


def _sum_s(late: Sequence[Late]) -> int:
    return sum(one.by_s for one in late)


def _without_limits(legs: Sequence[Leg], late: Sequence[Late]) -> list[Leg]:
    """Return legs without the windows that are missed and the roads that are not there."""
    missed = {one.at for one in late if one.kind is BreachKind.WINDOW}
    no_road = {one.at for one in late if one.kind is BreachKind.UNREACHABLE}
    closed = {one.at for one in late if one.kind is BreachKind.CLOSED}
    lifted = []
    for at, leg in enumerate(legs):
        free = leg._replace(windows=()) if at in missed else leg
        free = free._replace(drive_s=0, drive_m=0) if at in no_road else free
        lifted.append(_as_if_open(free) if at in closed else free)
    return lifted


def _as_if_open(leg: Leg) -> Leg:
    """Return a leg whose shortest way is open at any hour."""
    way = min(leg.ways, key=lambda one: one.drive_s)
    return leg._replace(drive_s=way.drive_s, drive_m=way.drive_m, ways=())


def _at_any_hour(lunch: Lunch | None, late: Sequence[Late]) -> Lunch | None:
    by_s = max((one.by_s for one in late if one.kind is BreachKind.LUNCH), default=0)
    return lunch and replace(lunch, to_s=lunch.to_s + by_s)


def _with_windows(times: RouteTimes, legs: Sequence[Leg]) -> RouteTimes:
    """Return times that name, where a window is missed, the last one."""
    calls = tuple(
        replace(call, window=leg.windows[-1]) if call.window is None and leg.windows else call
        for call, leg in zip(times.calls, legs, strict=False)
    )
    return replace(times, calls=calls)
