"""The clock of one route: when each stop is reached, begun and left, and where lunch falls.

Two clocks run along the stops: the earliest moment with lunch still to come, and the earliest with
lunch behind. Driving may be broken off for lunch, so lunch on a leg costs its length and may have
to wait for the lunch hours; earlier is never worse, hence two numbers are enough.

Where roads are closed for hours, each leg is driven so that work at its end starts soonest, and
among such ways by the shortest; of all places for lunch the one counts that brings the route home
soonest, then the one with which least is driven.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, zip_longest
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
from registry.plan.road_hours import NEVER_S, Drive, Way, arrival_s, drives, fed_s, ways_of


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
    """The times of one route; ``wait_s`` is all that is neither driving, service nor lunch.

    ``drives`` tells how each leg is driven, the one back last.
    """

    leaves_s: int
    returns_s: int
    calls: tuple[CallTimes, ...]
    lunch: LunchTaken | None
    wait_s: int
    drives: tuple[Drive, ...]


class Leg(NamedTuple):
    """A drive and the service at its end; no windows = any time.

    ``drive_s`` holds at any hour. A leg that is shorter at some hours has all its ``ways``.
    """

    drive_s: int
    windows: tuple[Window, ...]
    service_s: int
    drive_m: int = 0
    ways: tuple[Way, ...] = ()

    @property
    def is_cut_off(self) -> bool:
        """Whether no road leads along the leg at any hour."""
        return self.drive_s >= UNREACHABLE_S and not self.ways

    @property
    def least_s(self) -> int:
        """The least seconds that the leg takes at any hour."""
        return min(way.drive_s for way in self.ways) if self.ways else self.drive_s

    def reached_s(self, now_s: int) -> int | None:
        """Return the first moment at which the leg is behind; None = a road has closed by then."""
        return arrival_s(self.ways, now_s) if self.ways else now_s + self.drive_s

    def reached_fed_s(self, now_s: int, lunch: Lunch) -> int | None:
        """Return the first moment at which the leg and lunch on it are behind; None = too late."""
        if self.ways:
            return fed_s(self.ways, now_s, lunch)
        if now_s > lunch.to_s:
            return None
        return max(now_s + self.drive_s, lunch.from_s) + lunch.duration_s

    def over_s(self, ready_s: int | None) -> int | None:
        """Return when service is over that can start from a moment on; None = too late for it."""
        if ready_s is None:
            return None
        if not self.windows:
            return ready_s + self.service_s
        for opens, closes in self.windows:
            if ready_s <= closes:
                return max(ready_s, opens) + self.service_s
        return None

    def driven(self, now_s: int, lunch: Lunch | None) -> Drive | None:
        """Return how the leg is driven from a moment on; None = it cannot be any more.

        Of all ways those count after which service can still start.
        """
        always = Way(-NEVER_S, NEVER_S, self.drive_s, self.drive_m)
        if lunch is None and not self.ways:
            return Drive(now_s, now_s + self.drive_s, always)
        best: tuple[tuple[int, int, int, int], Drive] | None = None
        for drive in drives(self.ways or (always,), now_s, lunch):
            over_s = self.over_s(drive.ready_s)
            if over_s is not None:
                key = (over_s, drive.way.drive_s, drive.ready_s, -drive.way.to_s)
                if best is None or key < best[0]:
                    best = key, drive
        return None if best is None else best[1]


def legs_of(problem: DayProblem, technician: int, calls: RouteCalls) -> list[Leg]:
    """Return the legs of a route, the one back to the end place last."""
    travel_s, travel_m = problem.travel_of(technician)
    table = problem.technicians[technician].table
    places = places_of(problem, technician, calls)
    legs = []
    for ends, call in zip_longest(pairwise(places), calls):
        windows: tuple[Window, ...] = ()
        service_s = 0
        if call is not None:
            windows = windows_of(problem, call)
            service_s = (problem.fills if call.is_fill else problem.visits)[call.which].service_s
        ways = () if problem.hours is None else ways_of(problem, table, *ends)
        legs.append(Leg(int(travel_s[ends]), windows, service_s, int(travel_m[ends]), ways))
    return legs


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


def best_lunch_leg(
    legs: Sequence[Leg], lunch: Lunch | None, from_s: int, to_s: int
) -> tuple[bool, int | None]:
    """Tell whether a route fits, and on which leg lunch falls (None: none is taken)."""
    hungry: int | None = from_s
    fed: int | None = None
    eaten_on: int | None = None
    for number, leg in enumerate(legs):
        if leg.drive_s >= UNREACHABLE_S and not leg.ways:
            return False, None
        now = None
        if hungry is not None and lunch is not None and hungry <= lunch.to_s:
            now = leg.over_s(leg.reached_fed_s(hungry, lunch))
        hungry = None if hungry is None else leg.over_s(leg.reached_s(hungry))
        fed = None if fed is None else leg.over_s(leg.reached_s(fed))
        if now is not None and (fed is None or now < fed):
            fed, eaten_on = now, number
    if lunch is not None and hungry is not None and hungry > lunch.to_s:
        hungry = None
    if hungry is not None and hungry <= to_s and (fed is None or hungry <= fed):
        fits, eaten_on = True, None
    else:
        fits = fed is not None and fed <= to_s
    if fits and lunch is not None and any(leg.ways for leg in legs):
        back_s = min(one for one in (hungry, fed) if one is not None)
        eaten_on = _least_driven(legs, lunch, from_s, back_s)
    return fits, eaten_on


def _least_driven(legs: Sequence[Leg], lunch: Lunch, from_s: int, back_s: int) -> int | None:
    """Return on which leg lunch falls with which a route is home by then and least is driven."""
    best: tuple[int, int | None] | None = None
    for lunch_leg in (None, *range(len(legs))):
        now_s, drive_s = from_s, 0
        for number, leg in enumerate(legs):
            drive = leg.driven(now_s, lunch if number == lunch_leg else None)
            over_s = None if drive is None else leg.over_s(drive.ready_s)
            if drive is None or over_s is None:
                break
            now_s, drive_s = over_s, drive_s + drive.way.drive_s
        else:
            in_time = now_s == back_s and (lunch_leg is not None or now_s <= lunch.to_s)
            if in_time and (best is None or drive_s < best[0]):
                best = drive_s, lunch_leg
    if best is None:
        raise AssertionError("a route that fits has a place for lunch")
    return best[1]


def lay_out(
    legs: Sequence[Leg], lunch: Lunch | None, from_s: int, lunch_leg: int | None
) -> RouteTimes:
    """Return the times of a route that is known to fit with lunch on the given leg."""
    now_s = leaves_s = from_s
    wait_s = 0
    taken = None
    calls: list[CallTimes] = []
    driven: list[Drive] = []
    for number, leg in enumerate(legs):
        eats = lunch if number == lunch_leg else None
        drive = leg.driven(now_s, eats)
        if drive is None:
            raise PlanError("A route does not fit.")  # callers know that it does
        if number == 0 and eats is None and len(legs) > 1:
            drive = _put_off(leg, drive)
            now_s = leaves_s = drive.sets_off_s
        driven.append(drive)
        arrives_s = ready_s = drive.ready_s
        if eats is not None and drive.lunch_s is not None:
            taken = LunchTaken(
                before=number,
                starts_s=drive.lunch_s,
                ends_s=drive.lunch_s + eats.duration_s,
                share=drive.share,
            )
            if drive.share == 1:
                arrives_s = drive.sets_off_s + drive.way.drive_s
            wait_s -= eats.duration_s
        wait_s += ready_s - now_s - drive.way.drive_s
        if number == len(legs) - 1:
            return RouteTimes(
                leaves_s=leaves_s,
                returns_s=ready_s,
                calls=tuple(calls),
                lunch=taken,
                wait_s=wait_s,
                drives=tuple(driven),
            )
        now_s = leg.over_s(ready_s) or 0
        starts_s = now_s - leg.service_s
        wait_s += starts_s - ready_s
        window = next((w for w in leg.windows if w[0] <= starts_s <= w[1]), None)
        calls.append(
            CallTimes(arrives_s=arrives_s, starts_s=starts_s, leaves_s=now_s, window=window)
        )
    raise PlanError("A route has no legs.")  # legs_of always ends with the leg back


def _put_off(leg: Leg, drive: Drive) -> Drive:
    """Return a first drive begun so late that nobody sits before the first gate for nothing."""
    starts_s = (leg.over_s(drive.ready_s) or 0) - leg.service_s
    ready_s = min(starts_s, drive.way.to_s)
    return drive._replace(sets_off_s=ready_s - drive.way.drive_s, ready_s=ready_s)
