"""The speeds that a firm sets itself, by the class of a road and by what it is made of."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from registry.records.roads import GRAVEL, PRIVATE
from registry.roads.arrays import Floats
from registry.roads.drivable import KM_PER_MI
from registry.roads.graph import KM_H_PER_M_S, Graph, meeting_s
from registry.roads.stretches import Stretches


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
