"""The rivers of the registry as the flood core takes them: centrelines, and a profile by gauge."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from registry.errors import RangeError
from registry.flood.river_profile import RiverProfile, profile_of, sloped
from registry.flood.stationing import Centreline
from registry.records.rivers import Gauge
from registry.store import Session, rivers

LOWEST_FT, HIGHEST_FT = -10.0, 100.0
"""Stages for which a reach with one slope is carried on; ours, wider than any gauge's range."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rivers:
    """What is known of rivers; ``estimated`` are the gauges whose levels come from one slope."""

    gauges: tuple[Gauge, ...]
    lines: tuple[Centreline, ...]
    profiles: dict[str, RiverProfile]
    estimated: frozenset[str]


def known_rivers(session: Session) -> Rivers:
    """Return the rivers; a gauge without levels and without a slope has no profile.

    Raises
    ------
    RangeError
        If a gauge's table of levels cannot be a river's.
    """
    gauges = rivers.gauges(session)
    lines = tuple(
        Centreline(gauge=gauge, river=river, lon_lat_deg=corners, first_mi=first, last_mi=last)
        for gauge, river, corners, first, last in rivers.river_lines(session)
    )
    profiles: dict[str, RiverProfile] = {}
    estimated: set[str] = set()
    for gauge in gauges:
        levels = rivers.levels_of(session, gauge.id)
        if levels:
            profiles[gauge.name] = _from_table(gauge, levels)
        elif (profile := _from_slope(gauge, lines)) is not None:
            profiles[gauge.name] = profile
            estimated.add(gauge.name)
    return Rivers(
        gauges=tuple(gauges), lines=lines, profiles=profiles, estimated=frozenset(estimated)
    )


def _from_table(gauge: Gauge, levels: Sequence[rivers.Level]) -> RiverProfile:
    stages, stations, surfaces, datums = zip(*levels, strict=True)
    if len(set(datums)) > 1:
        raise RangeError(
            f"the levels of {gauge.name} stand on several datums ({', '.join(sorted(set(datums)))})"
        )
    try:
        return profile_of(stages, stations, surfaces, datums[0])
    except RangeError as wrong:
        raise RangeError(f"the levels of {gauge.name}: {wrong}") from wrong


def _from_slope(gauge: Gauge, lines: Sequence[Centreline]) -> RiverProfile | None:
    """Return an estimate from one slope where the gauge's zero, place and slope are known."""
    mine = [line for line in lines if line.gauge == gauge.name]
    if gauge.zero is None or gauge.station_mi is None or gauge.slope_ft_per_mi is None or not mine:
        return None
    ends = np.array([(line.first_mi, line.last_mi) for line in mine])
    return sloped(
        gauge.zero,
        gauge.station_mi,
        gauge.slope_ft_per_mi,
        stages_ft=(LOWEST_FT, HIGHEST_FT),
        stations_mi=(float(ends.min()), float(ends.max())),
    )
