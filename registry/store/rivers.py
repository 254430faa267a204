"""Reading what is known of rivers."""

from collections.abc import Sequence
from datetime import datetime

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.elevation import Elevation
from registry.records.places import LonLat
from registry.records.rivers import Gauge, LowPoint, Stage
from registry.store.tables import (
    GaugeRow,
    LowPointRow,
    RiverLevelRow,
    RiverLineRow,
    StageRow,
)

type Line = tuple[str, str, NDArray[np.float64], float, float]
type Level = tuple[float, float, float, str]


def gauge_ids(session: Session) -> dict[str, int]:
    """Return the id of each gauge by its name."""
    return {name: id_ for id_, name in session.execute(select(GaugeRow.id, GaugeRow.name))}


def gauges(session: Session) -> list[Gauge]:
    """Return all gauges, by name."""
    return [
        Gauge(
            id=row.id,
            name=row.name,
            river=row.river,
            station_mi=row.station_mi,
            zero=None if row.zero_ft is None else Elevation(row.zero_ft, row.datum),
            slope_ft_per_mi=row.slope_ft_per_mi,
            credit=row.credit,
        )
        for row in session.scalars(select(GaugeRow).order_by(GaugeRow.name))
    ]


def river_lines(session: Session) -> list[Line]:
    """Return gauge, river, corners (v, 2) [deg], first and last station [mi] of each stretch."""
    asked = (
        select(GaugeRow.name, RiverLineRow)
        .join(GaugeRow, GaugeRow.id == RiverLineRow.gauge_id)
        .order_by(RiverLineRow.id)
    )
    return [
        (gauge, row.river, np.array(row.geom.coords)[:, :2], row.first_mi, row.last_mi)
        for gauge, row in session.execute(asked)
    ]


def levels_of(session: Session, gauge_id: int) -> Sequence[Level]:
    """Return stage [ft], station [mi], surface [ft] and its datum of a gauge's table."""
    asked = (
        select(
            RiverLevelRow.stage_ft,
            RiverLevelRow.station_mi,
            RiverLevelRow.surface_ft,
            RiverLevelRow.datum,
        )
        .where(RiverLevelRow.gauge_id == gauge_id)
        .order_by(RiverLevelRow.stage_ft, RiverLevelRow.station_mi)
    )
    return [(row[0], row[1], row[2], row[3]) for row in session.execute(asked)]


def stages_of(session: Session, gauge_id: int) -> list[Stage]:
    """Return the stages of a gauge in the order of time, readings before forecasts."""
    asked = (
        select(StageRow)
        .where(StageRow.gauge_id == gauge_id)
        .order_by(StageRow.at, StageRow.is_forecast)
    )
    return [
        Stage(at=row.at, stage_ft=row.stage_ft, is_forecast=row.is_forecast)
        for row in session.scalars(asked)
    ]


def last_read(session: Session, gauge_id: int, now: datetime) -> Stage | None:
    """Return the newest stage that was read up to a moment, None if there is none."""
    asked = select(StageRow).where(
        StageRow.gauge_id == gauge_id, StageRow.is_forecast.is_(False), StageRow.at <= now
    )
    return _stage(session.scalar(asked.order_by(StageRow.at.desc()).limit(1)))


def highest_to_come(session: Session, gauge_id: int, now: datetime) -> Stage | None:
    """Return the highest stage of the forecast from a moment on, None if none is known."""
    asked = select(StageRow).where(
        StageRow.gauge_id == gauge_id, StageRow.is_forecast.is_(True), StageRow.at >= now
    )
    highest = asked.order_by(StageRow.stage_ft.desc(), StageRow.at).limit(1)
    return _stage(session.scalar(highest))


def _stage(row: StageRow | None) -> Stage | None:
    if row is None:
        return None
    return Stage(at=row.at, stage_ft=row.stage_ft, is_forecast=row.is_forecast)


def low_points(session: Session) -> list[LowPoint]:
    """Return all low points of roads, by name."""
    return [
        LowPoint(
            id=row.id,
            name=row.name,
            lon_lat=LonLat(row.geom.x, row.geom.y),
            elevation=None if row.elevation_ft is None else Elevation(row.elevation_ft, row.datum),
            source=row.source,
        )
        for row in session.scalars(select(LowPointRow).order_by(LowPointRow.name))
    ]
