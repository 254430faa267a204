"""A day that was changed by hand as a day that is told, what gives way marked at its stops."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from registry.plan.broken import Broken
from registry.plan.day import route_of
from registry.plan.day_roads import LineOf
from registry.plan.moves import RouteSeen
from registry.plan.problem import DayProblem
from registry.plan.stops import DayRecords
from registry.records.day import Route, Stop


def routes_by_hand(
    problem: DayProblem,
    seen: Iterable[RouteSeen],
    records: DayRecords,
    line_of: LineOf | None = None,
) -> tuple[Route, ...]:
    """Return routes as they would be driven, whether they hold or not."""
    return tuple(
        _marked(
            route_of(problem, one.technician, one.calls, one.times, records, line_of),
            one,
        )
        for one in seen
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
