"""The clock of one route: when each stop is reached, begun and left, and where lunch falls.

Two clocks run along the stops: the earliest moment with lunch still to come, and the earliest with
lunch behind. Driving may be broken off for lunch, so lunch on a leg costs its length and may have
to wait for the lunch hours; earlier is never worse, hence two numbers are enough.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from registry.errors import PlanError
from registry.plan.problem import (
    UNREACHABLE_S,
    Call,
    DayProblem,
    Lunch,
    RouteCalls,
    Window,
    places_of,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CallTimes:
    """When a call is reached, begun and left; ``window`` is the one the start falls in."""

    arrives_s: int
    starts_s: int
    leaves_s: int
    window: Window | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LunchTaken:
    """Lunch on the leg that leads to call number ``before`` (the number of calls: on the way back).

    ``share`` is how much of the leg was driven by then: 0 = before leaving, 1 = after arriving.
    """

    before: int
    starts_s: int
    ends_s: int
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteTimes:
    """The times of one route; ``wait_s`` is all that is neither driving, service nor lunch."""

    leaves_s: int
    returns_s: int
    calls: tuple[CallTimes, ...]
    lunch: LunchTaken | None
    wait_s: int


class Leg(NamedTuple):
    """A drive and the service at its end; no windows = any time."""

    drive_s: int
    windows: tuple[Window, ...]
    service_s: int


def legs_of(problem: DayProblem, technician: int, calls: RouteCalls) -> list[Leg]:
    """Return the legs of a route, the one back to the end place last."""
    travel_s = problem.travel_of(technician).travel_s
    places = places_of(problem, technician, calls)
    legs = [
        Leg(
            int(travel_s[here, place]),
            windows_of(problem, call),
            (problem.fills if call.is_fill else problem.visits)[call.which].service_s,
        )
        for (here, place), call in zip(pairwise(places), calls, strict=False)
    ]
    return [*legs, Leg(int(travel_s[places[-2], places[-1]]), (), 0)]


def windows_of(problem: DayProblem, call: Call) -> tuple[Window, ...]:
    """Return the windows of a call; empty = any time."""
    if call.is_fill:
        window = problem.fills[call.which].window
        return () if window is None else (window,)
    return problem.visits[call.which].windows


def route_times(problem: DayProblem, technician: int, calls: RouteCalls) -> RouteTimes:
    """Return the earliest times of a route that leaves no sooner than its first stop asks for.

    Raises
    ------
    PlanError
        If no times keep the windows, lunch and the shift.
    """
    who = problem.technicians[technician]
    legs = legs_of(problem, technician, calls)
    fits, lunch_leg = best_lunch_leg(
        legs, who.lunch, who.shift_from_s, who.shift_to_s + who.overtime_s
    )
    if not fits:
        raise PlanError(f"The route of {who.name} does not keep its hours.")
    return lay_out(legs, who.lunch, who.shift_from_s, lunch_leg)


def _leave(leg: Leg, arrival_s: int) -> int | None:
    """Return when a leg's service is over, None if every window has closed."""
    if not leg.windows:
        return arrival_s + leg.service_s
    for opens, closes in leg.windows:
        if arrival_s <= closes:
            return max(arrival_s, opens) + leg.service_s
    return None


def best_lunch_leg(
    legs: list[Leg], lunch: Lunch | None, from_s: int, to_s: int
) -> tuple[bool, int | None]:
    """Tell whether a route fits, and on which leg lunch falls (None: none is taken)."""
    hungry: int | None = from_s
    fed: int | None = None
    eaten_on: int | None = None
    for number, leg in enumerate(legs):
        if leg.drive_s >= UNREACHABLE_S:
            return False, None
        now = None
        if hungry is not None and lunch is not None and hungry <= lunch.to_s:
            now = _leave(leg, max(hungry + leg.drive_s, lunch.from_s) + lunch.duration_s)
        hungry = None if hungry is None else _leave(leg, hungry + leg.drive_s)
        fed = None if fed is None else _leave(leg, fed + leg.drive_s)
        if now is not None and (fed is None or now < fed):
            fed, eaten_on = now, number
    if lunch is not None and hungry is not None and hungry > lunch.to_s:
        hungry = None
    if hungry is not None and hungry <= to_s and (fed is None or hungry <= fed):
        return True, None
    return fed is not None and fed <= to_s, eaten_on


def lay_out(legs: list[Leg], lunch: Lunch | None, from_s: int, lunch_leg: int | None) -> RouteTimes:
    """Return the times of a route that is known to fit with lunch on the given leg."""
    now_s = _leave_yard(legs, from_s, lunch_leg)
    leaves_s = now_s
    wait_s = 0
    taken = None
    calls: list[CallTimes] = []
    for number, leg in enumerate(legs):
        arrives_s = now_s + leg.drive_s
        ready_s = arrives_s
        if lunch is not None and number == lunch_leg:
            taken = _lunch_on(leg, lunch, number, now_s)
            ready_s = max(taken.ends_s, arrives_s + lunch.duration_s)
            if taken.share < 1:
                arrives_s = ready_s
            wait_s += ready_s - now_s - leg.drive_s - lunch.duration_s
        if number == len(legs) - 1:
            return RouteTimes(
                leaves_s=leaves_s,
                returns_s=ready_s,
                calls=tuple(calls),
                lunch=taken,
                wait_s=wait_s,
            )
        now_s = _leave(leg, ready_s) or 0
        starts_s = now_s - leg.service_s
        wait_s += starts_s - ready_s
        window = next((w for w in leg.windows if w[0] <= starts_s <= w[1]), None)
        calls.append(
            CallTimes(arrives_s=arrives_s, starts_s=starts_s, leaves_s=now_s, window=window)
        )
    raise PlanError("A route has no legs.")  # legs_of always ends with the leg back


def _leave_yard(legs: list[Leg], from_s: int, lunch_leg: int | None) -> int:
    """Return when to leave so that nobody sits before the first gate, or at lunch, for nothing."""
    if len(legs) == 1 or lunch_leg == 0:
        return from_s
    starts_s = (_leave(legs[0], from_s + legs[0].drive_s) or 0) - legs[0].service_s
    return max(from_s, starts_s - legs[0].drive_s)


def _lunch_on(leg: Leg, lunch: Lunch, number: int, leaves_s: int) -> LunchTaken:
    """Place lunch on a leg: at its end if that is in time, else at its beginning, else between."""
    arrives_s = leaves_s + leg.drive_s
    if arrives_s <= lunch.to_s:
        starts_s, share = max(arrives_s, lunch.from_s), 1.0
    elif leaves_s >= lunch.from_s:
        starts_s, share = leaves_s, 0.0
    else:
        starts_s, share = lunch.from_s, (lunch.from_s - leaves_s) / leg.drive_s
    return LunchTaken(
        before=number, starts_s=starts_s, ends_s=starts_s + lunch.duration_s, share=share
    )
