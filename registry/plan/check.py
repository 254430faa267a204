"""The independent check: no plan is trusted before it has been recomputed from the problem.

Nothing here is shared with the solvers nor with ``registry.plan.clock``: lunch is tried on every
leg in turn, with one clock. Whoever mends the one must not have to think of the other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from registry.errors import PlanError
from registry.plan.problem import (
    UNREACHABLE_S,
    WATER_SLACK_GAL,
    Call,
    DayProblem,
    OnDuty,
    RouteCalls,
)


class BreachKind(StrEnum):
    """What a plan can break."""

    UNKNOWN = "unknown"
    ROUTES = "routes"
    TWICE = "twice"
    REQUIRED = "required"
    HELD = "held"
    SKILL = "skill"
    PEOPLE = "people"
    WATER = "water"
    CAPACITY = "capacity"
    UNREACHABLE = "unreachable"
    WINDOW = "window"
    LUNCH = "lunch"
    SHIFT = "shift"
    COST = "cost"


@dataclass(frozen=True, slots=True)
class Breach:
    """One limit that a plan breaks."""

    kind: BreachKind
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """What a plan comes to: driving, the worth of what waits, their sum, the visits made."""

    drive_s: int
    drive_m: int
    waiting_worth_s: int
    cost: int
    served: int


def check(
    problem: DayProblem,
    routes: Sequence[RouteCalls],
    *,
    cost: int | None = None,
    required_may_wait: bool = False,
) -> Totals:
    """Return what a plan comes to, or refuse it.

    Parameters
    ----------
    problem
        The day.
    routes
        One tuple of calls per technician of the day, in their order.
    cost
        What the plan claims to cost; compared if given. [s]
    required_may_wait
        Let a visit that must be made stay off the routes: a hold that cannot be kept is told to
        the dispatcher as a waiting visit, and is no fault of the plan.

    Raises
    ------
    PlanError
        Naming every limit that the plan breaks.
    """
    found = breaches(problem, routes)
    if required_may_wait:
        found = [one for one in found if one.kind is not BreachKind.REQUIRED]
    totals = None
    if not any(one.kind in (BreachKind.UNKNOWN, BreachKind.ROUTES) for one in found):
        totals = totals_of(problem, routes)
        if cost is not None and cost != totals.cost:
            text = f"The plan claims to cost {cost} s and costs {totals.cost} s."
            found.append(Breach(BreachKind.COST, text))
    if found or totals is None:
        raise PlanError("The plan is refused. " + " ".join(one.text for one in found))
    return totals


def breaches(problem: DayProblem, routes: Sequence[RouteCalls]) -> list[Breach]:
    """Return every limit that a plan breaks, in the order of its routes."""
    if len(routes) != len(problem.technicians):
        text = f"{len(routes)} routes for {len(problem.technicians)} technicians."
        return [Breach(BreachKind.ROUTES, text)]
    unknown = [
        Breach(BreachKind.UNKNOWN, f"{who.name}: there is no {call}.")
        for who, calls in zip(problem.technicians, routes, strict=True)
        for call in calls
        if not 0 <= call.which < len(problem.fills if call.is_fill else problem.visits)
    ]
    if unknown:
        return unknown
    found: list[Breach] = []
    made: dict[int, str] = {}
    for number, (who, calls) in enumerate(zip(problem.technicians, routes, strict=True)):
        for call in calls:
            if call.is_fill:
                continue
            visit = problem.visits[call.which]
            if call.which in made:
                text = f"{visit.name} is visited by {made[call.which]} and again by {who.name}."
                found.append(Breach(BreachKind.TWICE, text))
            made[call.which] = who.name
            found += _leave_to_visit(problem, number, who, call.which)
        if calls:
            found += _tank_and_load(problem, who, calls)
            found += _hours(problem, who, calls)
    found += [
        Breach(BreachKind.REQUIRED, f"{visit.name} must be made and is on no route.")
        for i, visit in enumerate(problem.visits)
        if visit.required and i not in made
    ]
    return found


def totals_of(problem: DayProblem, routes: Sequence[RouteCalls]) -> Totals:
    """Return what a plan comes to, feasible or not."""
    drive_s = drive_m = 0
    made = set()
    for who, calls in zip(problem.technicians, routes, strict=True):
        here = who.start_place
        for call in calls:
            place = (problem.fills if call.is_fill else problem.visits)[call.which].place
            drive_s += int(problem.travel_s[here, place])
            drive_m += int(problem.travel_m[here, place])
            here = place
            if not call.is_fill:
                made.add(call.which)
        if calls:
            drive_s += int(problem.travel_s[here, who.end_place])
            drive_m += int(problem.travel_m[here, who.end_place])
    waiting = sum(visit.worth_s for i, visit in enumerate(problem.visits) if i not in made)
    return Totals(
        drive_s=drive_s,
        drive_m=drive_m,
        waiting_worth_s=waiting,
        cost=drive_s + waiting,
        served=len(made),
    )


def _leave_to_visit(problem: DayProblem, number: int, who: OnDuty, which: int) -> list[Breach]:
    """Return what a technician lacks for a visit."""
    visit = problem.visits[which]
    found = []
    if lacking := visit.skills - who.skills:
        text = f"{visit.name} needs {', '.join(sorted(lacking))}, which {who.name} has not."
        found.append(Breach(BreachKind.SKILL, text))
    if visit.held_by is not None and visit.held_by != number:
        holder = problem.technicians[visit.held_by].name
        found.append(
            Breach(BreachKind.HELD, f"{visit.name} is held to {holder}, not to {who.name}.")
        )
    if visit.people > who.people:
        text = f"{visit.name} needs {visit.people} people; {who.name} comes with {who.people}."
        found.append(Breach(BreachKind.PEOPLE, text))
    return found


def _tank_and_load(problem: DayProblem, who: OnDuty, calls: RouteCalls) -> list[Breach]:
    """Return where a route runs out of water or of room."""
    found = []
    left_gal = who.tank_gal
    load = 0
    for call in calls:
        if call.is_fill:
            left_gal = who.tank_gal
            continue
        visit = problem.visits[call.which]
        load += visit.demand
        if left_gal is not None:
            left_gal -= visit.water_gal
            if left_gal < -WATER_SLACK_GAL:
                text = f"{visit.name}: the tank of {who.name} is {-left_gal:.1f} gal short."
                found.append(Breach(BreachKind.WATER, text))
    if who.capacity is not None and load > who.capacity:
        text = f"{who.name} carries {load} and has room for {who.capacity}."
        found.append(Breach(BreachKind.CAPACITY, text))
    return found


def _hours(problem: DayProblem, who: OnDuty, calls: RouteCalls) -> list[Breach]:
    """Return what a route breaks in time, lunch placed as well as it can be."""
    lunch_legs: list[int | None] = [None]
    if who.lunch is not None:
        lunch_legs += list(range(len(calls) + 1))
    tried = [_run_clock(problem, who, calls, leg) for leg in lunch_legs]
    if any(breach is None for breach, _ in tried):
        return []
    furthest = max(tried, key=lambda one: one[1])
    return [] if furthest[0] is None else [furthest[0]]


def _run_clock(
    problem: DayProblem, who: OnDuty, calls: RouteCalls, lunch_leg: int | None
) -> tuple[Breach | None, int]:
    """Drive a route with lunch on one leg; return what breaks, if anything, and how far it got.

    How far: the number of stops made, with a half more if only the end of the shift is missed.
    """
    now_s = who.shift_from_s
    here = who.start_place
    stops = [*calls, None]
    for number, call in enumerate(stops):
        place = who.end_place if call is None else _place(problem, call)
        drive_s = int(problem.travel_s[here, place])
        name = "the end place" if call is None else _name(problem, call)
        if drive_s >= UNREACHABLE_S:
            return Breach(BreachKind.UNREACHABLE, f"{who.name}: no road leads to {name}."), number
        leaves_s, now_s = now_s, now_s + drive_s
        if number == lunch_leg and who.lunch is not None:
            if leaves_s > who.lunch.to_s:
                text = f"{who.name}: lunch cannot start by {_clock(who.lunch.to_s)}."
                return Breach(BreachKind.LUNCH, text), number
            now_s = max(now_s, who.lunch.from_s) + who.lunch.duration_s
        here = place
        if call is None:
            break
        windows = _windows(problem, call)
        open_still = [window for window in windows if now_s <= window[1]]
        if windows and not open_still:
            late_min = (now_s - max(closes for _, closes in windows) + 59) // 60
            text = f"{who.name} is {late_min} min too late at {name}."
            return Breach(BreachKind.WINDOW, text), number
        if open_still:
            now_s = max(now_s, min(opens for opens, _ in open_still))
        now_s += (problem.fills if call.is_fill else problem.visits)[call.which].service_s
    if now_s > who.shift_to_s:
        text = f"{who.name} is back at {_clock(now_s)}; the shift ends at {_clock(who.shift_to_s)}."
        return Breach(BreachKind.SHIFT, text), len(stops)
    if who.lunch is not None and lunch_leg is None and now_s > who.lunch.to_s:
        return Breach(BreachKind.LUNCH, f"{who.name} has no time for lunch."), len(stops)
    return None, len(stops)


def _place(problem: DayProblem, call: Call) -> int:
    return (problem.fills if call.is_fill else problem.visits)[call.which].place


def _name(problem: DayProblem, call: Call) -> str:
    return (problem.fills if call.is_fill else problem.visits)[call.which].name


def _windows(problem: DayProblem, call: Call) -> tuple[tuple[int, int], ...]:
    if call.is_fill:
        window = problem.fills[call.which].window
        return () if window is None else (window,)
    return problem.visits[call.which].windows


def _clock(moment_s: int) -> str:
    return f"{moment_s // 3600:02d}:{moment_s // 60 % 60:02d}"
