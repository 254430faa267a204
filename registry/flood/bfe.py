"""Base flood elevations between two known ones."""

from registry.errors import RangeError


def interpolated_ft(
    station: float, known: tuple[float, float], other: tuple[float, float]
) -> float:
    """Return the water level between two stations along the flow, never beyond them.

    Parameters
    ----------
    station
        Where along the flow, in any one unit.
    known, other
        Station and level [ft] of two neighbouring BFE lines or cross-sections.

    Returns
    -------
    float
        Level. [ft]

    Raises
    ------
    RangeError
        If the station lies outside the two, or both stations are one with two levels.

    References
    ----------
    FEMA, "Guide to Flood Insurance Rate Maps", 1988, p. 29: half way between the lines 108 and 109
    the base flood elevation is 108.5, hence linear along the flow. Not to extrapolate past the last
    line: common practice, no source.
    """
    (from_station, from_ft), (to_station, to_ft) = sorted((known, other))
    if not from_station <= station <= to_station:
        raise RangeError(
            f"station {station:g} lies outside {from_station:g} to {to_station:g}: a base flood "
            "elevation is not extrapolated"
        )
    if from_station == to_station:
        if from_ft != to_ft:
            raise RangeError(f"two levels are given at station {station:g}: give one")
        return from_ft
    share = (station - from_station) / (to_station - from_station)
    return from_ft + share * (to_ft - from_ft)
