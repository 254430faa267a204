"""Systems, components and permit conditions."""

from datetime import date
from typing import Any

from sqlalchemy import ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class SystemRow(Base):
    """One onsite system; ``key`` is unique within its site."""

    __tablename__ = "system"
    __table_args__ = (
        UniqueConstraint("site_id", "key"),
        Index("ix_system_permit_status", "permit_status"),
        Index(
            "ix_system_merged_into_id",
            "merged_into_id",
            sqlite_where=text("merged_into_id IS NOT NULL"),
            postgresql_where=text("merged_into_id IS NOT NULL"),
        ),
    )
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    key: Mapped[str] = mapped_column(default="")
    kind: Mapped[str]
    kind_as_given: Mapped[str] = mapped_column(default="")
    permit_no: Mapped[str] = mapped_column(default="")
    permit_status: Mapped[str] = mapped_column(default="")
    design_flow_gpd: Mapped[float | None]
    bedrooms: Mapped[float | None]
    people: Mapped[float | None]
    installed_on: Mapped[date | None]
    rule_set: Mapped[str] = mapped_column(default="")
    merged_into_id: Mapped[int | None] = mapped_column(
        ForeignKey("system.id", name="fk_system_merged_into_id_system")
    )


class ComponentRow(Base):
    """One part of a system and where it is."""

    __tablename__ = "component"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    system_id: Mapped[int] = mapped_column(ForeignKey("system.id"), index=True)
    kind: Mapped[str]
    label: Mapped[str] = mapped_column(default="")
    bearing_deg: Mapped[float | None]
    distance_ft: Mapped[float | None]
    tie_a_ft: Mapped[float | None]
    tie_b_ft: Mapped[float | None]
    lon: Mapped[float | None]
    lat: Mapped[float | None]
    cover_in: Mapped[float | None]
    elevation_ft: Mapped[float | None]
    elevation_datum: Mapped[str] = mapped_column(default="")
    count: Mapped[int | None]
    length_ft: Mapped[float | None]
    pipe_in: Mapped[float | None]
    orifice_in: Mapped[float | None]
    spacing_ft: Mapped[float | None]
    turns_open: Mapped[float | None]
    capacity_gal: Mapped[float | None]
    gal_per_in: Mapped[float | None]
    has_riser: Mapped[bool | None]
    details: Mapped[dict[str, Any]] = mapped_column(default=dict)
    position_source: Mapped[str] = mapped_column(default="")
    position_accuracy_m: Mapped[float | None]


class PermitConditionRow(Base):
    """A permit condition or a waiver for one task of one system."""

    __tablename__ = "permit_condition"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    system_id: Mapped[int] = mapped_column(ForeignKey("system.id"), index=True)
    task: Mapped[str]
    months: Mapped[int]
    citation: Mapped[str]
    is_waiver: Mapped[bool] = mapped_column(default=False)
