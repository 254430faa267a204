"""Which closures stand between places and where the day starts."""

from collections.abc import Sequence
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
    places: Sequence[LonLat],
    limits: VehicleLimits | None,
) -> tuple[tuple[str, ...], ...]:
    """Return for each place the names of closures that, lifted, open a way to it and back.

    All are lifted, then each is put back that leaves the place within reach: what is left has no
    closure too many. Empty where none stands in the way, or where the place is cut off anyhow.
    Places that go by the same closures are asked about together, over one network.
    """

    def reached(closures: tuple[Closure, ...], at: Sequence[int]) -> set[int]:
        if not at:
            return set()
        changed = roads.under(replace(conditions, closures=closures))
        try:
            matrix = changed.travel_times([start, *(places[i] for i in at)], limits=limits)
        except RoadError:  # nothing is left to drive on, or a place is off all roads
            return set().union(*(reached(closures, [i]) for i in at)) if len(at) > 1 else set()
        open_way = np.isfinite(matrix.travel_s[0, 1:]) & np.isfinite(matrix.travel_s[1:, 0])
        return {i for i, is_open in zip(at, open_way, strict=True) if is_open}

    barred = reached((), range(len(places)))
    barred -= reached(conditions.closures, sorted(barred))
    lifted: dict[int, list[str]] = {i: [] for i in barred}
    by_kept: dict[tuple[Closure, ...], list[int]] = {(): sorted(barred)}
    for one in conditions.closures:
        after: dict[tuple[Closure, ...], list[int]] = {}
        for kept, at in by_kept.items():
            still = reached((*kept, one), at)
            for i in at:
                if i not in still:
                    lifted[i].append(one.name)
                after.setdefault((*kept, one) if i in still else kept, []).append(i)
        by_kept = after
    return tuple(tuple(dict.fromkeys(lifted.get(i, ()))) for i in range(len(places)))
