"""The independent check: no plan is trusted before it has been recomputed from the problem.

Nothing here is shared with the solvers nor with ``registry.plan.clock``. Whoever mends the one must
not have to think of the other.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from registry.errors import PlanError
from registry.plan.breach import Breach, BreachKind
from registry.plan.check_links import link_breaches
from registry.plan.check_route import Run, Windows, best_run, driven
from registry.plan.problem import (
    WATER_SLACK_GAL,
    Appointed,
    DayProblem,
    OnDuty,
    RouteCalls,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """What a plan comes to; ``other_s`` is overtime, unevenness and moves, ``cost`` the sum."""

    drive_s: int
    drive_m: int
    waiting_worth_s: int
    other_s: int
    cost: int
    served: int


def check(
    problem: DayProblem,
    routes: Sequence[RouteCalls],
    *,
    appointed: Sequence[Appointed] = (),
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
    appointed
        Windows that the plan gives to linked visits.
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
    found = breaches(problem, routes, appointed)
    if required_may_wait:
        found = [one for one in found if one.kind is not BreachKind.REQUIRED]
    totals = None
    if not any(one.kind in (BreachKind.UNKNOWN, BreachKind.ROUTES) for one in found):
        totals = totals_of(problem, routes, appointed)
        if cost is not None and cost != totals.cost:
            text = f"The plan claims to cost {cost} s and costs {totals.cost} s."
            found.append(Breach(BreachKind.COST, text))
    if found or totals is None:
        raise PlanError("The plan is refused. " + " ".join(one.text for one in found))
    return totals


def breaches(
    problem: DayProblem, routes: Sequence[RouteCalls], appointed: Sequence[Appointed] = ()
) -> list[Breach]:
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
    found = _appointed(problem, appointed)
    windows = {visit: ((opens, closes),) for visit, opens, closes in appointed}
    runs: dict[int, Run] = {}
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
            found += _tanks_and_load(problem, who, calls)
            found += _driving(problem, number, calls, windows)
            runs[number] = run = best_run(problem, number, calls, windows)
            found += [run.breach] if run.breach else []
    found += link_breaches(problem, routes, runs)
    found += [
        Breach(BreachKind.REQUIRED, f"{visit.name} must be made and is on no route.")
        for i, visit in enumerate(problem.visits)
        if visit.required and i not in made
    ]
    return found


def totals_of(
    problem: DayProblem, routes: Sequence[RouteCalls], appointed: Sequence[Appointed] = ()
) -> Totals:
    """Return what a plan comes to, feasible or not."""
    drive_s = drive_m = other_s = 0
    windows = {visit: ((opens, closes),) for visit, opens, closes in appointed}
    made = set()
    for number, (who, calls) in enumerate(zip(problem.technicians, routes, strict=True)):
        if not calls:
            continue
        seconds, metres = driven(problem, number, calls, windows)
        drive_s += seconds
        drive_m += metres
        visits = [problem.visits[call.which] for call in calls if not call.is_fill]
        made |= {call.which for call in calls if not call.is_fill}
        other_s += sum(
            visit.move_price_s
            for visit in visits
            if visit.usual is not None and visit.usual != number
        )
        other_s += sum(visit.prices_s[number] for visit in visits if visit.prices_s)
        if who.overtime_s > 0:
            over_s = max(0, best_run(problem, number, calls, windows).back_s - who.shift_to_s)
            other_s += over_s * who.overtime_percent // 100
        if who.even_s is not None:
            work_s = seconds + sum(visit.service_s for visit in visits)
            work_s += sum(problem.fills[call.which].service_s for call in calls if call.is_fill)
            other_s += max(0, work_s - who.even_s) * who.uneven_percent // 100
    waiting = sum(visit.worth_s for i, visit in enumerate(problem.visits) if i not in made)
    return Totals(
        drive_s=drive_s,
        drive_m=drive_m,
        waiting_worth_s=waiting,
        other_s=other_s,
        cost=drive_s + waiting + other_s,
        served=len(made),
    )


def _driving(
    problem: DayProblem, number: int, calls: RouteCalls, windows: Mapping[int, Windows]
) -> list[Breach]:
    """Return what a route breaks of the limit on driving."""
    who = problem.technicians[number]
    drive_s, _ = driven(problem, number, calls, windows)
    if who.most_drive_s is None or drive_s <= who.most_drive_s:
        return []
    text = f"{who.name} drives {drive_s // 60} min; at most {who.most_drive_s // 60} are allowed."
    return [Breach(BreachKind.DRIVING, text)]


def _appointed(problem: DayProblem, appointed: Sequence[Appointed]) -> list[Breach]:
    """Return which windows that a plan gives lie outside the visit's own."""
    return [
        Breach(
            BreachKind.APPOINTED,
            f"{problem.visits[visit].name} is appointed for {_clock(opens)}-{_clock(closes)},"
            " outside its windows.",
        )
        for visit, opens, closes in appointed
        if opens > closes
        or not any(a <= opens and closes <= b for a, b in problem.visits[visit].windows)
    ]


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
    if number in visit.ruled_out:
        text = f"{visit.name} is ruled out for {who.name}."
        found.append(Breach(BreachKind.RULED_OUT, text))
    if visit.people > who.people:
        text = f"{visit.name} needs {visit.people} people; {who.name} comes with {who.people}."
        found.append(Breach(BreachKind.PEOPLE, text))
    return found


def _tanks_and_load(problem: DayProblem, who: OnDuty, calls: RouteCalls) -> list[Breach]:
    """Return where a route runs out of water or of room."""
    found = []
    left_gal = None if who.tank_gal is None else who.tank_gal - who.water_used_gal
    room_gal = None if who.room_gal is None else who.room_gal - who.septage_gal
    load = 0
    for call in calls:
        if call.is_fill:
            if problem.fills[call.which].empties:
                room_gal = who.room_gal
            else:
                left_gal = who.tank_gal
            continue
        visit = problem.visits[call.which]
        load += visit.demand
        if left_gal is not None:
            left_gal -= visit.water_gal
            if left_gal < -WATER_SLACK_GAL:
                text = f"{visit.name}: the tank of {who.name} is {-left_gal:.1f} gal short."
                found.append(Breach(BreachKind.WATER, text))
        if room_gal is not None:
            room_gal -= visit.septage_gal
            if room_gal < -WATER_SLACK_GAL:
                text = f"{visit.name}: {who.name} has {-room_gal:.1f} gal too little room."
                found.append(Breach(BreachKind.SEPTAGE, text))
    if who.capacity is not None and load > who.capacity:
        text = f"{who.name} carries {load} and has room for {who.capacity}."
        found.append(Breach(BreachKind.CAPACITY, text))
    return found


def _clock(moment_s: int) -> str:
    return f"{moment_s // 3600:02d}:{moment_s // 60 % 60:02d}"
