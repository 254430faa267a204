"""The speeds that a firm sets itself, by the class of a road and by what it is made of."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from registry.errors import RangeError
from registry.roads.arrays import Floats
from registry.roads.drivable import KM_PER_MI, LANE_SPEEDS_KM_H, ROAD_SPEEDS_KM_H
from registry.roads.graph import KM_H_PER_M_S, Graph, meeting_s
from registry.roads.stretches import Stretches

GRAVEL, PRIVATE = "gravel", "private"
CLASSES = (*ROAD_SPEEDS_KM_H, *LANE_SPEEDS_KM_H, GRAVEL, PRIVATE)
"""Every word that a speed can be set for: classes of OpenStreetMap, and two that cut across."""
SLOWEST_MPH, FASTEST_MPH = 1.0, 80.0


def checked_speeds(speeds_mph: Mapping[str, float]) -> dict[str, float]:
    """Return speeds that can be used.

    Raises
    ------
    RangeError
        Naming every class that is not known and every speed that no truck drives.
    """
    wrong = [f"“{kind[:30]}” is no class of road" for kind in speeds_mph if kind not in CLASSES]
    wrong += [
        f"{mph:g} mph for {kind} is not between {SLOWEST_MPH:g} and {FASTEST_MPH:g}"
        for kind, mph in speeds_mph.items()
        if not SLOWEST_MPH <= mph <= FASTEST_MPH
    ]
    if wrong:
        raise RangeError(f"{'; '.join(wrong)}. Classes are {', '.join(CLASSES)}.")
    return dict(speeds_mph)


def set_speeds_km_h(stretches: Stretches, speeds_mph: Mapping[str, float]) -> Floats:
    """Return the speed set for each stretch, (s,), nan where none is.

    The slowest of those that hold for a stretch counts: its class, gravel, private. A speed
    limit that is signed is never passed.
    """
    by_class = {kind: mph * KM_PER_MI for kind, mph in speeds_mph.items()}
    speed = np.array(
        [by_class.get(kind, np.inf) for kind in stretches.said_kinds.tolist()], np.float64
    )[stretches.kind]
    for word, holds in ((GRAVEL, stretches.is_loose), (PRIVATE, stretches.is_private)):
        speed = np.where(holds, np.minimum(speed, by_class.get(word, np.inf)), speed)
    speed = np.where(np.isinf(speed), np.nan, np.fmin(speed, stretches.signed_km_h))
    return np.asarray(speed[stretches.way], np.float64)


def with_speeds(graph: Graph, speed_km_h: Floats) -> Graph:
    """Return a graph that is driven at the speeds set, of shape (s,), and else as it was."""
    is_set = np.isfinite(speed_km_h)
    if not is_set.any():
        return graph
    lost_s = meeting_s(graph.junctions, graph.start, graph.end)
    drive_s = graph.length_m / (np.where(is_set, speed_km_h, 1.0) / KM_H_PER_M_S) + lost_s
    return replace(graph, drive_s=np.where(is_set, drive_s, graph.drive_s))
