"""A day that was changed by hand as a day that is told, what gives way marked at its stops."""

from collections.abc import Sequence
from dataclasses import replace

from registry.plan.broken import Broken
from registry.plan.day import route_of
from registry.plan.day_roads import LineOf
from registry.plan.moves import RouteSeen
from registry.plan.problem import DayProblem
from registry.plan.stops import DayRecords
from registry.records.day import Route, Stop


def route_by_hand(
    problem: DayProblem,
    seen: RouteSeen,
    records: DayRecords,
    line_of: LineOf | None = None,
) -> Route:
    """Return a route as it would be driven, whether it holds or not."""
    return _marked(
        route_of(problem, seen.technician, seen.calls, seen.times, records, line_of), seen
    )


def _marked(route: Route, seen: RouteSeen) -> Route:
    """Return a route that says at each stop what gives way there."""
    stops: list[Stop] = []
    at = 0
    for stop in route.stops:
        if stop.kind == "lunch":
            stops.append(stop)
            continue
        stops.append(replace(stop, broken=_said(seen.broken, at)))
        at += 1
    return replace(
        route,
        stops=tuple(stops),
        broken=_said(seen.broken, at),
        drive_s=float(seen.drive_s),
        drive_m=float(seen.drive_m),
    )


def _said(broken: Sequence[Broken], at: int) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.text for one in broken if one.at == at))
