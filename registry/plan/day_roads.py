"""The drives of a told route: how each lies to roads that are closed for hours, and its line."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date

from registry.plan.clock import Leg, RouteTimes, legs_of
from registry.plan.from_day import second_of
from registry.plan.problem import UNREACHABLE_S, DayProblem, RouteCalls, Window
from registry.plan.road_hours import Drive
from registry.plan.say import clock, listed, minutes
from registry.plan.stops import DayRecords
from registry.records.day import Route, Stop
from registry.records.places import LonLat

type LineOf = Callable[[str, Sequence[LonLat], Sequence[Window]], tuple[LonLat, ...]]
"""Draws what a technician drives, given the id, through places; each drive with its span. [s]"""


def told_by_hour(
    route: Route,
    problem: DayProblem,
    technician: int,
    calls: RouteCalls,
    times: RouteTimes,
    records: DayRecords,
) -> Route:
    """Return a route whose stops tell how long each drive takes at its hour, and why."""
    legs = legs_of(problem, technician, calls)
    free_s = [problem.technicians[technician].shift_from_s, *(one.leaves_s for one in times.calls)]
    told = [
        (drive, waits_for_road(leg, drive, free), road_words(leg, drive, free))
        for leg, drive, free in zip(legs, times.drives, free_s, strict=True)
    ]
    stops, left = list[Stop](), iter(told)
    for stop in route.stops:
        if stop.kind == "lunch":
            stops.append(stop)
            continue
        drive, waits, words = next(left)
        stops.append(
            replace(
                stop,
                drive_s=float(drive.way.drive_s),
                drive_m=float(drive.way.drive_m),
                sets_off=records.at(drive.sets_off_s) if waits else None,
                roads=words,
            )
        )
    drive, waits, words = next(left)
    return replace(
        route,
        stops=tuple(stops),
        sets_off_back=records.at(drive.sets_off_s) if waits else None,
        roads_back=words,
    )


def waits_for_road(leg: Leg, drive: Drive, free_s: int) -> bool:
    """Tell whether a drive begins when a road opens, not when somebody is free for it."""
    return bool(leg.ways) and free_s < drive.sets_off_s == drive.way.from_s


def road_words(leg: Leg, drive: Drive, free_s: int) -> tuple[str, ...]:
    """Return in sentences what roads that are closed for hours mean for a drive."""
    way, said = drive.way, list[str]()
    if not leg.ways:
        return ()
    if waits_for_road(leg, drive, free_s) and way.opens:
        s = "" if len(way.opens) > 1 else "s"
        said.append(f"Waits until {clock(way.from_s)}, when {listed(way.opens)} open{s}.")
    if way.drive_s < leg.drive_s and way.closes:
        s = "" if len(way.closes) > 1 else "s"
        by = clock(way.to_s - way.drive_s)
        text = f"Set off by {by}: {listed(way.closes)} close{s} at {clock(way.to_s)}"
        other = "no other road leads there"
        if leg.drive_s < UNREACHABLE_S:
            other = f"the way round takes {minutes(leg.drive_s - way.drive_s)} longer"
        said.append(f"{text}, and {other}.")
    best = min(leg.ways, key=lambda one: one.drive_s)
    if best.drive_s < way.drive_s:
        longer = minutes(way.drive_s - best.drive_s)
        not_yet = best.from_s > drive.sets_off_s
        names, moment_s = (best.opens, best.from_s) if not_yet else (best.closes, best.to_s)
        closed = f"closed {'until' if not_yet else 'from'} {clock(moment_s)}"
        if names:
            said.append(f"Goes round {listed(names)}, {closed}: {longer} longer.")
    return tuple(said)


def with_line(route: Route, on_date: date, line_of: LineOf | None) -> Route:
    """Return a route with the line along the roads through its start, its stops and its end."""
    if line_of is None:
        return replace(route, line=())
    stops = [one for one in route.stops if one.lon_lat is not None]
    through = [route.start, *(one.lon_lat for one in stops if one.lon_lat), route.end]
    spans = tuple(_spans(route, stops, on_date))
    return replace(route, line=line_of(str(route.technician_id), through, spans))


def _spans(route: Route, stops: Sequence[Stop], on_date: date) -> Iterator[Window]:
    """Yield from when to when each drive lasts, lunch on it included."""
    free = route.leaves
    for stop in stops:
        yield second_of(stop.sets_off or free, on_date), second_of(stop.arrives, on_date)
        free = stop.leaves
    yield second_of(route.sets_off_back or free, on_date), second_of(route.returns, on_date)
