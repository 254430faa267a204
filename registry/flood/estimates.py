"""Flood levels where none was published: estimates by published simplified methods.

None of them is a base flood elevation: none is kept with the flood facts, and no flag or freeboard
is worked out from one. Each is as good as its map or profile; the authority in charge can ask for a
study instead.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from registry.errors import RangeError
from registry.flood.bfe import interpolated_ft
from registry.records.elevation import Elevation

CAUTION = (
    "Estimate, not official: not a base flood elevation, and no flag is worked out from it. The "
    "authority in charge decides which level counts."
)
ZONE_A = "FEMA, Managing Floodplain Development in Approximate Zone A Areas, 1995, chapter V"
METHODS = "National Academies, Mapping the Zone, 2009, appendix A"
EXTRAPOLATED_FT = 500.0
"""A profile is carried upstream of its study so far at most (National Academies, appendix A)."""
UNPRINTED_DEPTH_FT = 2.0
"""Depth in zone AO where the map prints none: 44 CFR 60.3(c)(7), from memory, to be checked."""


@dataclass(frozen=True, slots=True)
class LevelEstimate:
    """A level, how it was found in words, and the published source of the method."""

    level: Elevation
    how: str
    source: str


def by_contours(edges_ft: Sequence[float], interval_ft: float, datum: str) -> LevelEstimate:
    """Return the level where the edge of zone A crosses the contours of a map.

    The lowest ground elevation on the zone's edge plus half the contour interval: beside a river
    one elevation on each bank at the site, around a lake the highest and the lowest.

    Parameters
    ----------
    edges_ft
        Ground elevations at the zone's edge, read between contours, two or more. [ft]
    interval_ft
        The map's contour interval. [ft]
    datum
        Vertical datum of the map.

    Raises
    ------
    RangeError
        If there are fewer than two, or they differ by more than half the interval: then the method
        is not to be used.

    References
    ----------
    FEMA, "Managing Floodplain Development in Approximate Zone A Areas", 1995, pages V-3 and V-5.
    """
    if len(edges_ft) < 2 or interval_ft <= 0:
        raise RangeError("Give two ground elevations at the zone's edge and a contour interval.")
    low, high, half = min(edges_ft), max(edges_ft), interval_ft / 2
    if high - low > half:
        raise RangeError(
            f"The elevations at the edge differ by {high - low:g} ft, more than half the contour "
            f"interval ({half:g} ft): the method is not to be used there. Ask for a study."
        )
    how = f"contours: lowest edge {low:g} ft and half of the interval of {interval_ft:g} ft"
    return LevelEstimate(Elevation(low + half, datum), how, ZONE_A)


def by_profile(
    station_ft: float, profile: Sequence[tuple[float, float]], datum: str
) -> LevelEstimate:
    """Return the level of a study's profile at a station, in straight lines between its points.

    Parameters
    ----------
    station_ft
        The site, along the river as the profile counts. [ft above the mouth]
    profile
        Station [ft] and level [ft] of points read from the profile, in any order.
    datum
        Vertical datum of the profile.

    Raises
    ------
    RangeError
        If the station lies outside the points.
    """
    points = sorted(profile)
    for one, other in pairwise(points):
        if one[0] <= station_ft <= other[0]:
            level_ft = interpolated_ft(station_ft, one, other)
            how = f"profile between stations {one[0]:g} and {other[0]:g} ft"
            return LevelEstimate(Elevation(level_ft, datum), how, METHODS)
    raise RangeError(
        f"Station {station_ft:g} ft lies outside the points of the profile. Read two points around "
        "it, or use the method “extrapolation” just upstream of the study."
    )


def by_extrapolation(
    station_ft: float, profile: Sequence[tuple[float, float]], datum: str
) -> LevelEstimate:
    """Return the level just upstream of a study's end, on the slope of its last two points.

    Only where the flood plain and the channel's slope are alike and nothing downstream backs the
    water up.

    Parameters
    ----------
    station_ft, profile, datum
        As for ``by_profile``.

    Raises
    ------
    RangeError
        If there are fewer than two points, the site lies not upstream of the last one, or more than
        500 ft.
    """
    points = sorted(profile)
    if len(points) < 2 or points[-1][0] == points[-2][0]:
        raise RangeError("Give at least two points of the profile at different stations.")
    (from_ft, from_level), (end_ft, end_level) = points[-2:]
    beyond_ft = station_ft - end_ft
    if not 0 < beyond_ft <= EXTRAPOLATED_FT:
        raise RangeError(
            f"Station {station_ft:g} ft lies {beyond_ft:g} ft upstream of the study’s end. It "
            f"is carried on by at most {EXTRAPOLATED_FT:g} ft, and upstream only."
        )
    slope = (end_level - from_level) / (end_ft - from_ft)
    how = (
        f"profile carried {beyond_ft:g} ft upstream of its end; only where valley and slope are "
        "alike and nothing backs the water up"
    )
    return LevelEstimate(Elevation(end_level + slope * beyond_ft, datum), how, METHODS)


def by_boundary(
    distance_ft: float, edges: Sequence[tuple[float, float]], datum: str
) -> LevelEstimate:
    """Return the level between the zone's edges on either side of a site, by ground surveyed there.

    Parameters
    ----------
    distance_ft
        Where the site lies on a line across the flood plain. [ft]
    edges
        Place on the same line [ft] and ground elevation [ft] of the two edges.
    datum
        Vertical datum of the survey.

    Raises
    ------
    RangeError
        If there are not two edges, or the site does not lie between them.
    """
    if len(edges) != 2:
        raise RangeError("Give the ground at the zone's edge on both sides of the site.")
    level_ft = interpolated_ft(distance_ft, edges[0], edges[1])
    return LevelEstimate(Elevation(level_ft, datum), "ground at the zone’s two edges", METHODS)


def by_depth(grade_ft: float, depth_ft: float | None, datum: str) -> LevelEstimate:
    """Return the level in zone AO: highest adjacent ground plus the map's depth.

    Parameters
    ----------
    grade_ft
        Highest ground beside the structure. [ft]
    depth_ft
        The depth that the map prints, None = none: 2 ft. [ft]
    datum
        Vertical datum of the ground's elevation.

    Raises
    ------
    RangeError
        If the depth is below zero.

    References
    ----------
    44 CFR 60.3(c)(7), from memory: to be checked before anybody relies on it.
    """
    if depth_ft is not None and depth_ft < 0:
        raise RangeError("A depth lies above the ground: give 0 ft or more.")
    deep_ft = UNPRINTED_DEPTH_FT if depth_ft is None else depth_ft
    said = f"{deep_ft:g} ft" + (" since the map prints no depth" if depth_ft is None else "")
    how = f"zone AO: highest adjacent ground {grade_ft:g} ft and {said}"
    source = "44 CFR 60.3(c)(7), from memory: check it"
    return LevelEstimate(Elevation(grade_ft + deep_ft, datum), how, source)
