"""Travel tables for trucks that may not take every road, and for roads that close for hours."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from registry.plan.day_roads import LineOf
from registry.plan.from_records import whole
from registry.plan.open_hours import OpenHours, open_hours
from registry.plan.ports import Matrix, RoadEngine
from registry.plan.problem import DayProblem, Period, Travel, Window
from registry.plan.road_hours import road_hours
from registry.records.closures import Closure
from registry.records.crew import Technician
from registry.records.places import LonLat
from registry.records.roads import RoadConditions, VehicleLimits
from registry.units import S_PER_MIN


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayRoads:
    """The roads of a day, under all closures that it looks at, and each truck's limits."""

    roads: RoadEngine
    conditions: RoadConditions
    limits: Mapping[str, VehicleLimits]

    @property
    def by_hour(self) -> bool:
        """Whether any closure holds for some hours only."""
        return any(one.hours is not None for one in self.conditions.closures)

    def under(self, closed: Iterable[int]) -> RoadEngine:
        """Return the roads with some of the closures only, by their number."""
        closures = tuple(self.conditions.closures[i] for i in sorted(closed))
        return self.roads.under(replace(self.conditions, closures=closures))


def limits_of(crew: Iterable[Technician]) -> dict[str, VehicleLimits]:
    """Return the weight and height of each technician's truck, by the technician's id."""
    known = {str(who.id): VehicleLimits.of(who.truck) for who in crew}
    return {who: limits for who, limits in known.items() if limits is not None}


def with_tables(problem: DayProblem, day: DayRoads, places: Sequence[LonLat]) -> DayProblem:
    """Return a day whose technicians drive by the roads that their trucks may take at each hour.

    Trucks to which no sign on the way matters share the first table.
    """
    spans = open_hours([spans_s(one) for one in day.conditions.closures]) if day.by_hour else []
    engines = {one.closed: day.under(one.closed) for one in spans}

    def column(limits: VehicleLimits | None) -> list[Travel]:
        """Return the table of a truck with all closures, then one for each set of them."""
        own = Travel(problem.travel_s, problem.travel_m)
        if limits is not None:
            own = _table(day.roads, places, limits)
        return [own, *(_table(roads, places, limits) for roads in engines.values())]

    columns = [column(None)]
    number_of: dict[VehicleLimits | None, int] = {None: 0}
    for who in problem.technicians:
        limits = day.limits.get(who.id)
        if limits in number_of:
            continue
        new = column(limits)
        number_of[limits] = next(
            (i for i, known in enumerate(columns) if _alike(known, new)), len(columns)
        )
        if number_of[limits] == len(columns):
            columns.append(new)
    tables = [one[0] for one in columns]
    at = {closed: number for number, closed in enumerate(engines, 1)}
    periods = [_period(day, one, [tables[at[one.closed]] for tables in columns]) for one in spans]
    return replace(
        problem,
        technicians=tuple(
            replace(who, table=number_of[day.limits.get(who.id)]) for who in problem.technicians
        ),
        more_tables=tuple(tables[1:]),
        hours=road_hours(tables, periods),
    )


def warnings_of(day: DayRoads, places: Sequence[LonLat], matrix: Matrix) -> tuple[str, ...]:
    """Return what is to be said of a day's places, given their travel under all closures.

    A place that a closure cuts off for some hours is not cut off.
    """
    if not day.by_hour:
        return matrix.warnings
    closures = day.conditions.closures
    all_day = [i for i, one in enumerate(closures) if one.hours is None]
    of_closures = [one for one in matrix.warnings if any(road.name in one for road in closures)]
    told = day.under(all_day).travel_times(places).warnings
    return tuple(dict.fromkeys((*of_closures, *told)))


def spans_s(closure: Closure) -> list[Window]:
    """Return the spans of a day in which a closure holds. [s after midnight]."""
    return [(begins * S_PER_MIN, ends * S_PER_MIN) for begins, ends in closure.spans()]


def line_by_truck(day: DayRoads) -> LineOf:
    """Return what draws a technician's drives along the roads that the truck may then take."""

    def line(
        technician_id: str, through: Sequence[LonLat], spans: Sequence[Window]
    ) -> tuple[LonLat, ...]:
        limits = day.limits.get(technician_id)
        if not day.by_hour:
            return day.roads.line(through, limits=limits)
        drawn: list[LonLat] = []
        for roads, part in _stretches(day, through, spans):
            piece = roads.line(part, limits=limits)
            if not piece:
                return ()
            drawn += piece
        return tuple(drawn)

    return line


def _stretches(
    day: DayRoads, through: Sequence[LonLat], spans: Sequence[Window]
) -> Iterator[tuple[RoadEngine, Sequence[LonLat]]]:
    """Yield drives in a row during which the same roads are closed, and the roads then."""
    closed = [
        tuple(
            i
            for i, one in enumerate(day.conditions.closures)
            if any(begins < until and since < ends for begins, ends in spans_s(one))
        )
        for since, until in spans
    ]
    first = 0
    for at in range(1, len(closed) + 1):
        if at == len(closed) or closed[at] != closed[first]:
            yield day.under(closed[first]), through[first : at + 1]
            first = at


def _table(roads: RoadEngine, places: Sequence[LonLat], limits: VehicleLimits | None) -> Travel:
    matrix = roads.travel_times(places, limits=limits)
    return Travel(whole(matrix.travel_s), whole(matrix.travel_m))


def _alike(one: Sequence[Travel], other: Sequence[Travel]) -> bool:
    return all(np.array_equal(a.travel_s, b.travel_s) for a, b in zip(one, other, strict=True))


def _period(day: DayRoads, span: OpenHours, tables: Sequence[Travel]) -> Period:
    names = [one.name for one in day.conditions.closures]
    return Period(
        from_s=span.from_s,
        to_s=span.to_s,
        tables=tuple(tables),
        opens=tuple(names[i] for i in sorted(span.opens)),
        closes=tuple(names[i] for i in sorted(span.closes)),
    )
