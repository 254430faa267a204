"""A flood level where none was published, from what is read off a map, a profile or the ground."""

from collections.abc import Sequence
from dataclasses import dataclass

from registry.errors import RangeError
from registry.flood.estimates import (
    LevelEstimate,
    by_boundary,
    by_contours,
    by_depth,
    by_extrapolation,
    by_profile,
)
from registry.records.elevation import UNKNOWN_DATUM, datum_named

METHODS = ("contours", "profile", "extrapolation", "boundary", "depth")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What an estimate is made from; each method reads its own part, see ``registry.flood``."""

    method: str
    datum: str
    edges_ft: Sequence[float] = ()
    interval_ft: float | None = None
    at_ft: float | None = None
    points: Sequence[tuple[float, float]] = ()
    grade_ft: float | None = None
    depth_ft: float | None = None


def estimate_level(asked: Asked) -> LevelEstimate:
    """Return the estimate.

    Raises
    ------
    RangeError
        If the method is not known, or lacks a figure or the datum, or may not be used here.
    """
    datum = datum_named(asked.datum)
    if datum == UNKNOWN_DATUM:
        raise RangeError("Name the vertical datum of the elevations, such as NAVD88.")
    match asked.method:
        case "contours":
            return by_contours(asked.edges_ft, _given(asked.interval_ft, "interval"), datum)
        case "profile":
            return by_profile(_given(asked.at_ft, "station"), asked.points, datum)
        case "extrapolation":
            return by_extrapolation(_given(asked.at_ft, "station"), asked.points, datum)
        case "boundary":
            return by_boundary(_given(asked.at_ft, "distance"), asked.points, datum)
        case "depth":
            return by_depth(_given(asked.grade_ft, "ground's elevation"), asked.depth_ft, datum)
        case _:
            raise RangeError(f"There is no such method. Known are {', '.join(METHODS)}.")


def _given(value: float | None, name: str) -> float:
    if value is None:
        raise RangeError(f"Give the {name}.")
    return value
