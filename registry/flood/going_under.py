"""At which stage of a gauge each thing beside a river goes under water.

One number for each thing answers every question of a rising river: what is under at a stage, in
which order things go under, how many hours a forecast leaves. The level is that of the river
abreast of the thing: water that lies behind a bank or a dam may stand otherwise, so it is an
estimate, and what was seen at the place goes before it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.flood.datums import NO_SINGLE_SURFACE
from registry.flood.river_profile import RiverProfile
from registry.flood.stationing import Centreline, stationed
from registry.records.elevation import NAVD88, NGVD29

type FloatArray = NDArray[np.float64]
type IntArray = NDArray[np.int64]
type Words = NDArray[np.object_]

FARTHEST_M = 5_000.0
"""Farther from every centreline nothing is said: the width of a broad valley, ours."""

NOT_MEASURED = "no elevation measured"
NO_DATUM = "the elevation has no known datum"
DATUMS_DIFFER = "the elevation and the river’s levels stand on different datums"
FAR = "no river with a gauge is near"
BEYOND = "it lies past the last river station of the profile"


@dataclass(frozen=True, slots=True, kw_only=True)
class Things:
    """Things with the elevation that water must not reach; each field is one array of length n.

    ``lon_lat_deg`` is (n, 2). ``elevation_ft`` is NaN where none was measured;
    ``ngvd29_to_navd88_ft`` NaN where no offset is stated.
    """

    lon_lat_deg: FloatArray
    elevation_ft: FloatArray
    datum: Words
    ngvd29_to_navd88_ft: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class GoingUnder:
    """When things go under; each field is one array of length n.

    ``line`` is the number of the stretch, -1 for none. ``level_ft`` is the elevation on the datum
    of the river's levels, NaN where it cannot be had. ``stage_ft`` is minus infinity where the
    lowest stage of the profile reaches it already, infinity where the highest does not, and NaN
    where ``why_unknown`` says why.
    """

    line: IntArray
    station_mi: FloatArray
    level_ft: FloatArray
    stage_ft: FloatArray
    why_unknown: Words


def going_under(
    things: Things,
    lines: Sequence[Centreline],
    profiles: Mapping[str, RiverProfile],
    farthest_m: float = FARTHEST_M,
) -> GoingUnder:
    """Return at which stage each thing goes under, or why that cannot be said.

    Parameters
    ----------
    things
        The things.
    lines
        Centrelines; each names its gauge.
    profiles
        Profile of each gauge by its name.
    farthest_m
        Nothing is said of things farther from every line. [m]
    """
    place = stationed(lines, things.lon_lat_deg, farthest_m)
    stage_ft, level_ft = np.full((2, len(things.elevation_ft)), np.nan)
    why = np.full(len(stage_ft), "", np.object_)
    gauges = np.array([line.gauge for line in lines] + [""], np.object_)[place.line]
    for gauge, profile in profiles.items():
        (mine,) = np.nonzero(gauges == gauge)
        level_ft[mine], unlike = _on_datum(things, mine, profile.datum)
        stage_ft[mine] = profile.stage_that_reaches(level_ft[mine], place.station_mi[mine])
        why[mine] = np.where(np.isnan(stage_ft[mine]), np.where(unlike, DATUMS_DIFFER, BEYOND), "")
    unknown = np.array([one.upper() in NO_SINGLE_SURFACE for one in things.datum], bool)
    why[np.isin(gauges, [*profiles], invert=True)] = FAR
    why[unknown] = NO_DATUM
    why[np.isnan(things.elevation_ft)] = NOT_MEASURED
    return GoingUnder(
        line=place.line,
        station_mi=place.station_mi,
        level_ft=np.where(why == "", level_ft, np.nan),
        stage_ft=np.where(why == "", stage_ft, np.nan),
        why_unknown=why,
    )


def _on_datum(things: Things, which: IntArray, datum: str) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Return elevations of some things on a datum, NaN where no offset leads there, and where."""
    given, offset_ft = things.datum[which], things.ngvd29_to_navd88_ft[which]
    add_ft = np.where(given == datum, 0.0, np.nan)
    add_ft[(given == NGVD29) & (datum == NAVD88)] = offset_ft[(given == NGVD29) & (datum == NAVD88)]
    add_ft[(given == NAVD88) & (datum == NGVD29)] = -offset_ft[
        (given == NAVD88) & (datum == NGVD29)
    ]
    return things.elevation_ft[which] + add_ft, np.isnan(add_ft)
