"""The low places of roads beside rivers, and the stage that puts each under water."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from registry.errors import NotFoundError
from registry.flood.going_under import GoingUnder, Things, going_under
from registry.flood.road_water import MAY_CLOSE_FT
from registry.records.elevation import NGVD29
from registry.records.places import LonLat
from registry.records.rivers import Gauge, LowPoint
from registry.services.datum_offsets import offset_ft
from registry.services.rivers import Rivers
from registry.store import Session, rivers


@dataclass(frozen=True, slots=True, kw_only=True)
class LowRoad:
    """A low place beside a gauge's river.

    ``level_ft`` is its elevation on the datum of the river's levels, ``station_mi`` its place along
    it; ``stage_ft`` puts it under water, from ``may_close_ft`` on the water stands within a foot of
    it; infinities as in ``GoingUnder``, NaN where ``why_unknown`` says why.
    """

    point: LowPoint
    gauge: str
    station_mi: float
    level_ft: float
    stage_ft: float
    may_close_ft: float
    why_unknown: str = ""


def things_of(session: Session, points: Sequence[LowPoint]) -> Things:
    """Return low places as things that water may reach."""
    heights = [one.elevation for one in points]
    return Things(
        lon_lat_deg=np.array([one.lon_lat for one in points], np.float64).reshape(-1, 2),
        elevation_ft=np.array([np.nan if h is None else h.value_ft for h in heights]),
        datum=np.array(["" if h is None else h.datum for h in heights], np.object_),
        ngvd29_to_navd88_ft=np.array(
            [
                to_navd88_ft(session, one.lon_lat, one.elevation.datum if one.elevation else "")
                for one in points
            ]
        ),
    )


def to_navd88_ft(session: Session, place: LonLat, datum: str) -> float:
    """Return the offset by grid where one is asked for, NaN where it is not known. [ft]."""
    if datum != NGVD29:
        return np.nan
    found = offset_ft(session, place, None)
    return np.nan if found is None else found


def low_roads(session: Session, known: Rivers) -> list[LowRoad]:
    """Return the low places of roads that lie beside a gauge's river."""
    points = rivers.low_points(session)
    if not points or not known.lines:
        return []
    things = things_of(session, points)
    under = going_under(things, known.lines, known.profiles)
    lower = replace(things, elevation_ft=things.elevation_ft - MAY_CLOSE_FT)
    near = going_under(lower, known.lines, known.profiles)
    return list(_told(points, known, under, near))


def gauge_named(known: Rivers, name: str) -> Gauge:
    """Return the gauge of a name, or the first where none is named.

    Raises
    ------
    NotFoundError
        If there is none; says which there are.
    """
    if not name and known.gauges:
        return known.gauges[0]
    for gauge in known.gauges:
        if gauge.name.casefold() == name.casefold():
            return gauge
    told = ", ".join(gauge.name for gauge in known.gauges)
    if not told:
        raise NotFoundError("No gauge is known. Bring one in: riserway import gauges gauges.csv")
    raise NotFoundError(f"There is no gauge “{name[:40]}”. Known are {told}.")


def _told(
    points: Sequence[LowPoint], known: Rivers, under: GoingUnder, near: GoingUnder
) -> Iterator[LowRoad]:
    for i in np.argsort(under.stage_ft, kind="stable").tolist():
        line = int(under.line[i])
        if line >= 0:
            yield LowRoad(
                point=points[i],
                gauge=known.lines[line].gauge,
                station_mi=float(under.station_mi[i]),
                level_ft=float(under.level_ft[i]),
                stage_ft=float(under.stage_ft[i]),
                may_close_ft=float(near.stage_ft[i]),
                why_unknown=str(under.why_unknown[i]),
            )
