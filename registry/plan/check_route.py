"""The independent clock of one route: lunch is tried on every leg in turn, with one clock.

Nothing here is shared with the solvers nor with ``registry.plan.clock``. Where roads are closed for
hours, ``registry.plan.check_legs`` says how a leg can be driven.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from registry.plan.breach import Breach, BreachKind
from registry.plan.check_legs import Driven, driven_legs
from registry.plan.problem import (
    ANYWHERE,
    UNREACHABLE_S,
    Call,
    DayProblem,
    OnDuty,
    RouteCalls,
    Window,
)

type Windows = tuple[Window, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A route driven once: what breaks, if anything, and how far it got.

    ``far``: the number of stops made, one more if only the end of the shift is missed.
    ``served``: start and end of each service. ``back_s``: when the end place was reached.
    ``drive_s`` and ``drive_m`` are what was driven.
    """

    breach: Breach | None
    far: int
    served: tuple[tuple[int, int], ...] = ()
    back_s: int = 0
    drive_s: int = 0
    drive_m: int = 0


def driven(
    problem: DayProblem,
    number: int,
    calls: RouteCalls,
    windows: Mapping[int, Windows] | None = None,
) -> tuple[int, int]:
    """Return seconds and metres driven on a route.

    Where that depends on the hour and the route does not hold: by the roads open at any hour.
    """
    who = problem.technicians[number]
    if problem.hours is not None and calls:
        run = best_run(problem, number, calls, windows or {})
        if run.breach is None:
            return run.drive_s, run.drive_m
    travel_s, travel_m = problem.travel_of(number)
    drive_s = drive_m = 0
    here = who.start_place
    for call in [*calls, None]:
        place = who.end_place if call is None else _place(problem, call, here)
        drive_s += int(travel_s[here, place])
        drive_m += int(travel_m[here, place])
        here = place
    return drive_s, drive_m


def best_run(
    problem: DayProblem, number: int, calls: RouteCalls, windows: Mapping[int, Windows]
) -> Run:
    """Return a route's run with lunch placed as well as it can be.

    ``windows`` replaces the windows of some visits.
    """
    lunch_legs: list[int | None] = [None]
    if problem.technicians[number].lunch is not None:
        lunch_legs += list(range(len(calls) + 1))
    tried = [_run(problem, number, calls, windows, leg) for leg in lunch_legs]
    hold = [run for run in tried if run.breach is None]
    if hold:
        return min(hold, key=lambda run: (run.back_s, run.drive_s))
    furthest = max(tried, key=lambda run: run.far)
    over = [run for run in tried[1:] if run.breach and run.breach.kind is BreachKind.SHIFT]
    if furthest.breach and furthest.breach.kind is BreachKind.SHIFT and over:
        return min(over, key=lambda run: run.back_s)  # told as it would be, lunch included
    return furthest


def _run(
    problem: DayProblem,
    number: int,
    calls: RouteCalls,
    windows: Mapping[int, Windows],
    lunch_leg: int | None,
) -> Run:
    """Drive a route with lunch on one leg."""
    who = problem.technicians[number]
    now_s, here = who.shift_from_s, who.start_place
    served: list[tuple[int, int]] = []
    drive_s = drive_m = 0
    for done, call in enumerate(calls):
        place, name = _place(problem, call, here), _name(problem, call)
        own = windows.get(call.which) if not call.is_fill else None
        hours = own or _windows(problem, call)
        leg = _Leg(problem, number, (here, place), name, hours)
        wrong, drive = _drive(leg, now_s, done == lunch_leg)
        now_s, drive_s, drive_m = drive.ready_s, drive_s + drive.drive_s, drive_m + drive.drive_m
        starts_s = _start(hours, now_s)
        if wrong is None and starts_s is None:
            last_s = max(closes for _, closes in own or _windows(problem, call))
            late_min = (now_s - last_s + 59) // 60
            wrong = Breach(BreachKind.WINDOW, f"{who.name} is {late_min} min too late at {name}.")
        if wrong is not None or starts_s is None:
            return Run(breach=wrong, far=done, served=tuple(served), back_s=now_s)
        here = place
        now_s = starts_s + (problem.fills if call.is_fill else problem.visits)[call.which].service_s
        served.append((starts_s, now_s))
    leg = _Leg(problem, number, (here, who.end_place), "the end place", ())
    wrong, drive = _drive(leg, now_s, lunch_leg == len(calls))
    now_s, drive_s, drive_m = drive.ready_s, drive_s + drive.drive_s, drive_m + drive.drive_m
    far = len(calls) if wrong is not None else len(calls) + 1
    wrong = wrong or _end(who, now_s, lunch_leg is not None)
    return Run(
        breach=wrong,
        far=far,
        served=tuple(served),
        back_s=now_s,
        drive_s=drive_s,
        drive_m=drive_m,
    )


class _Leg(NamedTuple):
    """A leg of a technician's route between two places, and when work may start at its end."""

    problem: DayProblem
    number: int
    ends: tuple[int, int]
    name: str
    windows: Windows


def _drive(leg: _Leg, now_s: int, eats: bool) -> tuple[Breach | None, Driven]:
    """Drive a leg, with lunch somewhere on it if the technician eats.

    Of all ways the one is driven with which work starts first, then the shortest one.
    """
    who = leg.problem.technicians[leg.number]
    lunch = who.lunch if eats else None
    if lunch is not None and now_s > lunch.to_s:
        text = f"{who.name}: lunch cannot start by {_clock(lunch.to_s)}."
        return Breach(BreachKind.LUNCH, text), Driven(now_s, 0, 0)
    ways = list(driven_legs(leg.problem, leg.number, leg.ends, now_s, lunch))
    if not ways and _ever_reached(leg):
        text = f"{who.name}: the road to {leg.name} is closed from {_clock(now_s)} on."
        return Breach(BreachKind.CLOSED, text), Driven(now_s, 0, 0)
    if not ways:
        return Breach(BreachKind.UNREACHABLE, f"{who.name}: no road leads to {leg.name}."), Driven(
            now_s, 0, 0
        )

    def rank(drive: Driven) -> tuple[bool, int, int, int]:
        starts_s = _start(leg.windows, drive.ready_s)
        late = starts_s is None
        return late, drive.ready_s if starts_s is None else starts_s, drive.drive_s, drive.ready_s

    return None, min(ways, key=rank)


def _ever_reached(leg: _Leg) -> bool:
    """Tell whether a road leads along a leg at some hour."""
    table = leg.problem.technicians[leg.number].table
    periods = leg.problem.hours.periods if leg.problem.hours is not None else ()
    return any(one.tables[table].travel_s[leg.ends] < UNREACHABLE_S for one in periods)


def _start(windows: Windows, now_s: int) -> int | None:
    """Return when a service can start, None if every window has closed."""
    if not windows:
        return now_s
    return min((max(now_s, opens) for opens, closes in windows if now_s <= closes), default=None)


def _end(who: OnDuty, now_s: int, fed: bool) -> Breach | None:
    """Return what a return at a moment breaks."""
    latest_s = who.shift_to_s + who.overtime_s
    if now_s > latest_s:
        text = f"{who.name} is back at {_clock(now_s)}; the shift ends at {_clock(latest_s)}."
        return Breach(BreachKind.SHIFT, text)
    if who.lunch is not None and not fed and now_s > who.lunch.to_s:
        return Breach(BreachKind.LUNCH, f"{who.name} has no time for lunch.")
    return None


def _place(problem: DayProblem, call: Call, here: int) -> int:
    place = (problem.fills if call.is_fill else problem.visits)[call.which].place
    return here if place == ANYWHERE else place


def _name(problem: DayProblem, call: Call) -> str:
    return (problem.fills if call.is_fill else problem.visits)[call.which].name


def _windows(problem: DayProblem, call: Call) -> Windows:
    if call.is_fill:
        window = problem.fills[call.which].window
        return () if window is None else (window,)
    return problem.visits[call.which].windows


def _clock(moment_s: int) -> str:
    return f"{moment_s // 3600:02d}:{moment_s // 60 % 60:02d}"
