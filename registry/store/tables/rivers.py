"""Gauges, the rivers that they measure, levels along them, stages in time, low points of roads."""

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id
from registry.store.types import Geo


class GaugeRow(Base):
    """A gauge; ``zero_ft`` is the elevation of its stage zero above ``datum``, if it is known."""

    __tablename__ = "gauge"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    river: Mapped[str] = mapped_column(default="")
    station_mi: Mapped[float | None]
    zero_ft: Mapped[float | None]
    datum: Mapped[str] = mapped_column(default="")
    slope_ft_per_mi: Mapped[float | None]
    credit: Mapped[str] = mapped_column(default="")


class RiverLineRow(Base):
    """A stretch of a river's centreline with the stations of its two ends."""

    __tablename__ = "river_line"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    source_key: Mapped[str] = mapped_column(unique=True)
    gauge_id: Mapped[int] = mapped_column(ForeignKey("gauge.id"), index=True)
    river: Mapped[str] = mapped_column(default="")
    first_mi: Mapped[float]
    last_mi: Mapped[float]
    geom: Mapped[Any] = mapped_column(Geo("GEOMETRY"))


class RiverLevelRow(Base):
    """The elevation of the water at one river station for one stage of a gauge."""

    __tablename__ = "river_level"
    gauge_id: Mapped[int] = mapped_column(ForeignKey("gauge.id"), primary_key=True)
    stage_ft: Mapped[float] = mapped_column(primary_key=True)
    station_mi: Mapped[float] = mapped_column(primary_key=True)
    surface_ft: Mapped[float]
    datum: Mapped[str] = mapped_column(default="")


class StageRow(Base):
    """One stage of a gauge, read or forecast."""

    __tablename__ = "gauge_stage"
    gauge_id: Mapped[int] = mapped_column(ForeignKey("gauge.id"), primary_key=True)
    at: Mapped[datetime] = mapped_column(primary_key=True)
    is_forecast: Mapped[bool] = mapped_column(primary_key=True)
    stage_ft: Mapped[float]


class LowPointRow(Base):
    """The lowest place of a stretch of road: water over it closes the road."""

    __tablename__ = "low_point"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    elevation_ft: Mapped[float | None]
    datum: Mapped[str] = mapped_column(default="")
    source: Mapped[str] = mapped_column(default="")
    geom: Mapped[Any] = mapped_column(Geo("GEOMETRY"))


class ComponentStageRow(Base):
    """At which stage of which gauge a component goes under; worked out again, never edited.

    ``stage_ft`` is the lowest stage that reaches it, None where ``why_unknown`` says why. Where the
    lowest stage of the profile reaches it already, it is that stage.
    """

    __tablename__ = "component_stage"
    component_id: Mapped[int] = mapped_column(
        ForeignKey("component.id", ondelete="CASCADE"), primary_key=True
    )
    gauge_id: Mapped[int | None] = mapped_column(ForeignKey("gauge.id"))
    station_mi: Mapped[float | None]
    stage_ft: Mapped[float | None]
    why_unknown: Mapped[str] = mapped_column(default="")


Index(
    "ix_component_stage_gauge_id_stage_ft", ComponentStageRow.gauge_id, ComponentStageRow.stage_ft
)
