"""Visits as they were recorded at the gate, and what was found; append-only like visits."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class GateVisitRow(Base):
    """What the recording page or a phone sent, whole in ``body``; ``digest`` tells a second one."""

    __tablename__ = "gate_visit"
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"), primary_key=True)
    digest: Mapped[str]
    ending: Mapped[str]
    arrived_at: Mapped[datetime | None]
    left_at: Mapped[datetime | None]
    device_offset_s: Mapped[float | None]
    body: Mapped[dict[str, Any]]


class VisitSettledRow(Base):
    """A visit that a settlement stands over: ``visit_id`` settles what was recorded twice."""

    __tablename__ = "visit_settled"
    over_id: Mapped[str] = mapped_column(ForeignKey("visit.id"), primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"))


class FindingRow(Base):
    """One thing that was found at a visit; the id is a UUID made where it was recorded."""

    __tablename__ = "finding"
    __table_args__ = (
        Index("ix_finding_site_id", "site_id"),
        Index("ix_finding_visit_id", "visit_id"),
    )
    id: Mapped[str] = mapped_column(primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"))
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    system_id: Mapped[int | None] = mapped_column(ForeignKey("system.id"))
    component_id: Mapped[int | None] = mapped_column(Id)
    kind: Mapped[str]
    seriousness: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    bearing_deg: Mapped[float | None]
    distance_ft: Mapped[float | None]
    owner_told: Mapped[str] = mapped_column(default="")
    report_by: Mapped[datetime | None]
    follow_up_on: Mapped[date | None]
