"""Travel tables for trucks that may not take every road."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from registry.plan.from_records import whole
from registry.plan.ports import RoadEngine
from registry.plan.problem import DayProblem, Travel
from registry.records.crew import Technician
from registry.records.places import LonLat
from registry.records.roads import VehicleLimits


def limits_of(crew: Iterable[Technician]) -> dict[str, VehicleLimits]:
    """Return the weight and height of each technician's truck, by the technician's id."""
    known = {str(who.id): VehicleLimits.of(who.truck) for who in crew}
    return {who: limits for who, limits in known.items() if limits is not None}


def with_truck_tables(
    problem: DayProblem,
    roads: RoadEngine,
    places: Sequence[LonLat],
    limits: Mapping[str, VehicleLimits],
) -> DayProblem:
    """Return a day whose technicians drive by the roads that their trucks may take.

    Trucks to which no sign on the way matters share the first table.
    """
    tables: list[Travel] = []
    number_of: dict[VehicleLimits | None, int] = {None: 0}
    for who in problem.technicians:
        limit = limits.get(who.id)
        if limit in number_of:
            continue
        matrix = roads.travel_times(places, limits=limit)
        travel = Travel(whole(matrix.travel_s), whole(matrix.travel_m))
        if np.array_equal(travel.travel_s, problem.travel_s):
            number_of[limit] = 0
        else:
            tables.append(travel)
            number_of[limit] = len(tables)
    crew = [replace(who, table=number_of[limits.get(who.id)]) for who in problem.technicians]
    return replace(problem, technicians=tuple(crew), more_tables=tuple(tables))


def line_by_truck(
    roads: RoadEngine, limits: Mapping[str, VehicleLimits]
) -> Callable[[str, Sequence[LonLat]], tuple[LonLat, ...]]:
    """Return what draws a technician's route along the roads that the truck may take."""

    def line(technician_id: str, through: Sequence[LonLat]) -> tuple[LonLat, ...]:
        return roads.line(through, limits=limits.get(technician_id))

    return line
