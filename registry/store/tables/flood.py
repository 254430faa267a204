"""Flood hazard areas, base flood elevation lines, and flood facts of sites."""

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id
from registry.store.types import Geo


class FloodAreaRow(Base):
    """One flood hazard area; ``given`` keeps the attributes as published."""

    __tablename__ = "flood_area"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    source_key: Mapped[str] = mapped_column(unique=True)
    zone: Mapped[str]
    subtype: Mapped[str] = mapped_column(default="")
    sfha: Mapped[bool | None]
    static_bfe_ft: Mapped[float | None]
    datum: Mapped[str] = mapped_column(default="")
    depth_ft: Mapped[float | None]
    geom: Mapped[Any] = mapped_column(Geo("GEOMETRY"))
    given: Mapped[dict[str, Any]] = mapped_column(default=dict)


class BfeLineRow(Base):
    """A base flood elevation line."""

    __tablename__ = "bfe_line"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    source_key: Mapped[str] = mapped_column(unique=True)
    elevation_ft: Mapped[float]
    datum: Mapped[str] = mapped_column(default="")
    geom: Mapped[Any] = mapped_column(Geo("GEOMETRY"))
    given: Mapped[dict[str, Any]] = mapped_column(default=dict)


class FloodFactRow(Base):
    """What the flood layers say of one site; recomputed, never edited."""

    __tablename__ = "flood_fact"
    __table_args__ = (Index("ix_flood_fact_zone", "zone"),)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), primary_key=True)
    zone: Mapped[str] = mapped_column(default="")
    subtype: Mapped[str] = mapped_column(default="")
    in_hazard_area: Mapped[bool | None]
    near_edge: Mapped[bool] = mapped_column(default=False)
    edge_m: Mapped[float | None]
    bfe_ft: Mapped[float | None]
    bfe_datum: Mapped[str] = mapped_column(default="")
    bfe_method: Mapped[str] = mapped_column(default="")
    below_bfe: Mapped[bool | None]
    lowest_freeboard_ft: Mapped[float | None]
    lowest_component: Mapped[str] = mapped_column(default="")
    unknown_why: Mapped[str] = mapped_column(default="")
    flagged_at: Mapped[datetime | None]


class DatumGridRow(Base):
    """A grid of offsets between vertical datums, kept as the file that it came in."""

    __tablename__ = "datum_grid"
    name: Mapped[str] = mapped_column(primary_key=True)
    digest: Mapped[str]
    body: Mapped[bytes]
    imported_at: Mapped[datetime]
