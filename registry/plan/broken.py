"""What a route breaks and at which stop, in words that stand beside the stop.

These are for the page on which a day is changed by hand; ``registry.plan.check`` judges whole days
on its own and shares nothing with them.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from registry.plan.breach import BreachKind
from registry.plan.clock import RouteTimes, windows_of
from registry.plan.drive_on import DrivenOn, Late
from registry.plan.problem import (
    WATER_SLACK_GAL,
    DayProblem,
    Link,
    RouteCalls,
)
from registry.units import S_PER_MIN


@dataclass(frozen=True, slots=True)
class Broken:
    """A limit that gives way at a call of a route, in words.

    ``at`` is the call's number, or the number of calls: on the way back.
    """

    at: int
    kind: BreachKind
    text: str


def broken_by_leave(problem: DayProblem, technician: int, calls: RouteCalls) -> Iterator[Broken]:
    """Yield what a technician may not do of what is on the route."""
    who = problem.technicians[technician]
    load = 0
    for at, call in enumerate(calls):
        if call.is_fill:
            continue
        visit = problem.visits[call.which]
        if lacking := visit.skills - who.skills:
            text = f"needs {', '.join(sorted(lacking))}, which {who.name} has not"
            yield Broken(at, BreachKind.SKILL, text)
        if visit.held_by is not None and visit.held_by != technician:
            yield Broken(
                at, BreachKind.HELD, f"is held to {problem.technicians[visit.held_by].name}"
            )
        if technician in visit.ruled_out:
            yield Broken(at, BreachKind.RULED_OUT, f"is ruled out for {who.name}")
        if visit.people > who.people:
            comes = "alone" if who.people == 1 else f"with {who.people}"
            text = f"needs {visit.people} people; {who.name} comes {comes}"
            yield Broken(at, BreachKind.PEOPLE, text)
        load += visit.demand
        if who.capacity is not None and who.capacity < load <= who.capacity + visit.demand:
            text = f"{who.name} carries {load} and has room for {who.capacity}"
            yield Broken(at, BreachKind.CAPACITY, text)


@dataclass(frozen=True, slots=True)
class Tanks:
    """What is left in a tank and for septage once each call is over; None = no limit known."""

    water_gal: tuple[float | None, ...]
    room_gal: tuple[float | None, ...]
    broken: tuple[Broken, ...]


def tanks_along(problem: DayProblem, technician: int, calls: RouteCalls) -> Tanks:
    """Return the tanks of a truck along its route; each shortage is told where it begins."""
    who = problem.technicians[technician]
    water_gal = None if who.tank_gal is None else who.tank_gal - who.water_used_gal
    room_gal = None if who.room_gal is None else who.room_gal - who.septage_gal
    left_gal: list[float | None] = []
    free_gal: list[float | None] = []
    found: list[Broken] = []
    for at, call in enumerate(calls):
        was = (water_gal, room_gal)
        if call.is_fill:
            empties = problem.fills[call.which].empties
            water_gal, room_gal = (water_gal, who.room_gal) if empties else (who.tank_gal, room_gal)
        else:
            visit = problem.visits[call.which]
            water_gal = None if water_gal is None else water_gal - visit.water_gal
            room_gal = None if room_gal is None else room_gal - visit.septage_gal
        if _runs_out(was[0], water_gal):
            text = f"the tank is {_short(water_gal)} gal short here"
            found.append(Broken(at, BreachKind.WATER, text))
        if _runs_out(was[1], room_gal):
            text = f"there are {_short(room_gal)} gal too little room for septage here"
            found.append(Broken(at, BreachKind.SEPTAGE, text))
        left_gal.append(water_gal)
        free_gal.append(room_gal)
    return Tanks(tuple(left_gal), tuple(free_gal), tuple(found))


def _runs_out(was_gal: float | None, left_gal: float | None) -> bool:
    """Tell whether there is too little now, and was enough, or less too little, before."""
    if left_gal is None or left_gal >= -WATER_SLACK_GAL:
        return False
    return was_gal is None or left_gal < min(was_gal, -WATER_SLACK_GAL)


def _short(left_gal: float | None) -> str:
    return f"{max(1, round(-(left_gal or 0)))}"


def broken_by_hours(
    problem: DayProblem, technician: int, calls: RouteCalls, driven: DrivenOn, drive_s: int
) -> Iterator[Broken]:
    """Yield where a route misses its hours, and whether more is driven than may be."""
    who = problem.technicians[technician]
    for late in driven.late:
        words = hours_missed(problem, technician, calls, late, driven.times.returns_s)
        yield Broken(late.at, late.kind, words)
    if calls and who.most_drive_s is not None and drive_s > who.most_drive_s:
        text = f"{_minutes(drive_s)} of driving; {_minutes(who.most_drive_s)} are allowed"
        yield Broken(len(calls), BreachKind.DRIVING, text)


def hours_missed(
    problem: DayProblem, technician: int, calls: RouteCalls, late: Late, back_s: int
) -> str:
    """Return in words which hours a route misses that is back at ``back_s``."""
    who, by = problem.technicians[technician], _minutes(late.by_s)
    if late.kind is BreachKind.WINDOW:
        last_s = windows_of(problem, calls[late.at])[-1][1]
        return f"{by} late: work must start by {clock_of_s(last_s)}"
    if late.kind is BreachKind.SHIFT:
        end_s = who.shift_to_s + who.overtime_s
        return f"back at {clock_of_s(back_s)}: the shift ends at {clock_of_s(end_s)}, {by} over"
    if late.kind is BreachKind.UNREACHABLE:
        return "no road leads here"
    if late.kind is BreachKind.CLOSED:
        return f"the road here has closed by then: {by} late"
    if late.kind is BreachKind.LUNCH and who.lunch is not None:
        return f"lunch cannot start by {clock_of_s(who.lunch.to_s)}"
    raise AssertionError(f"{late.kind} is no matter of hours")


type TimesOf = Callable[[int], RouteTimes]


def broken_by_links(
    problem: DayProblem, routes: Sequence[RouteCalls], times_of: TimesOf
) -> Iterator[tuple[int, Broken]]:
    """Yield technician and breach where linked visits don't agree, at the later one of them."""
    stands = {
        call.which: (k, at)
        for k, calls in enumerate(routes)
        for at, call in enumerate(calls)
        if not call.is_fill
    }
    for link in problem.links:
        here = stands.get(link.then) or (stands.get(link.first) if link.together else None)
        if here is None:
            continue
        text = _link_text(problem, link, stands, times_of)
        if text:
            yield here[0], Broken(here[1], BreachKind.LINK, text)


def _link_text(
    problem: DayProblem, link: Link, stands: dict[int, tuple[int, int]], times_of: TimesOf
) -> str:
    """Return in words what is wrong between two linked visits, nothing if they agree."""
    first = problem.visits[link.first].name
    if link.first not in stands or link.then not in stands:
        other = link.first if link.then in stands else link.then
        return f"is not made without {problem.visits[other].name}, which is on no route"
    one, two = (times_of(k).calls[at] for k, at in (stands[link.first], stands[link.then]))
    same = stands[link.first][0] == stands[link.then][0]
    if link.together:
        apart = same or one.starts_s != two.starts_s
        return f"needs a second technician at the moment of {first}" if apart else ""
    if two.starts_s < one.leaves_s:
        return f"starts before {first} is over"
    return f"needs the same truck as {first}" if link.same_truck and not same else ""


def clock_of_s(moment_s: int) -> str:
    """Return a moment of the day as people write it."""
    return f"{moment_s // 3600}:{moment_s // 60 % 60:02d}"


def _minutes(seconds: int) -> str:
    """Return a time as whole minutes, rounded up."""
    minutes = -(-seconds // S_PER_MIN)
    return f"{minutes} min" if minutes < 120 else f"{minutes // 60} h {minutes % 60:02d} min"
