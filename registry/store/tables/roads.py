"""What a firm knows about its roads beyond the map: closed stretches, and its speeds."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id
from registry.store.types import Geo


class RoadClosureRow(Base):
    """A closed stretch of road; a closure is lifted, never deleted."""

    __tablename__ = "road_closure"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"), index=True)
    name: Mapped[str]
    geom: Mapped[Any] = mapped_column(Geo("GEOMETRY"))
    road: Mapped[str] = mapped_column(default="")
    first_on: Mapped[date]
    last_on: Mapped[date | None]
    from_min: Mapped[int | None]
    to_min: Mapped[int | None]
    why: Mapped[str] = mapped_column(default="")
    made_by: Mapped[str] = mapped_column(default="")
    made_at: Mapped[datetime]
    lifted_by: Mapped[str] = mapped_column(default="")
    lifted_at: Mapped[datetime | None]


class RoadSpeedRow(Base):
    """A speed that a firm set for a class of road."""

    __tablename__ = "road_speed"
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"), primary_key=True)
    road_class: Mapped[str] = mapped_column(primary_key=True)
    speed_mph: Mapped[float]
