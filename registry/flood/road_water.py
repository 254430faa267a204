"""Whether water closes a road at its lowest place."""

from math import isnan

from registry.records.high_water import RoadState

MAY_CLOSE_FT = 1.0
"""A road that stays dry by less than this may close; common practice, no source."""


def road_state(over_ft: float) -> RoadState:
    """Return what water does to a road.

    Any water over a road closes it: 6 in of moving water knock a person down and 12 in carry a
    small car (US National Weather Service, "Turn Around Don't Drown"). No depth is ever told as
    passable.

    Parameters
    ----------
    over_ft
        How far the water stands above the lowest place, below 0 where it is dry, NaN where that is
        not known. [ft]
    """
    if isnan(over_ft):
        return RoadState.UNKNOWN
    if over_ft >= 0:
        return RoadState.CLOSED
    return RoadState.MAY_CLOSE if over_ft > -MAY_CLOSE_FT else RoadState.OPEN
