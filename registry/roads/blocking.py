"""Which closures stand between a place and where the day starts."""

from dataclasses import replace

import numpy as np

from registry.errors import RoadError
from registry.plan.ports import RoadEngine
from registry.records.closures import Closure
from registry.records.places import LonLat
from registry.records.roads import RoadConditions, VehicleLimits


def in_the_way(
    roads: RoadEngine,
    conditions: RoadConditions,
    start: LonLat,
    place: LonLat,
    limits: VehicleLimits | None,
) -> tuple[str, ...]:
    """Return the names of closures that, lifted, open a way from a start to a place and back.

    All are lifted, then each is put back that leaves the place within reach: what is left has no
    closure too many. Empty where none stands in the way, or where the place is cut off anyhow.
    """

    def is_reached(closures: tuple[Closure, ...]) -> bool:
        changed = roads.under(replace(conditions, closures=closures))
        try:
            matrix = changed.travel_times([start, place], limits=limits)
        except RoadError:  # nothing is left to drive on, or a place is off all roads
            return False
        return bool(np.isfinite(matrix.travel_s).all())

    if not is_reached(()) or is_reached(conditions.closures):
        return ()
    kept: tuple[Closure, ...] = ()
    lifted: list[str] = []
    for one in conditions.closures:
        if is_reached((*kept, one)):
            kept = (*kept, one)
        else:
            lifted.append(one.name)
    return tuple(dict.fromkeys(lifted))
