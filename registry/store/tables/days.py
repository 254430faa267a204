"""Planned days, held visits, and the travel network in use."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class DayRow(Base):
    """One version of the plan of a date; the highest number is in force, the others are history."""

    __tablename__ = "day"
    __table_args__ = (
        Index("ix_day_firm_id_on_date_number", "firm_id", "on_date", "number", unique=True),
    )
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    on_date: Mapped[date]
    number: Mapped[int]
    made_at: Mapped[datetime]
    made_by: Mapped[str] = mapped_column(default="")
    made_how: Mapped[str] = mapped_column(default="ordered")
    made_from: Mapped[int] = mapped_column(default=0)
    note: Mapped[str] = mapped_column(default="")
    cost: Mapped[float]
    bound: Mapped[float | None]
    body: Mapped[dict[str, Any]]
    """The rest of ``registry.records.day.Day``: engine, seed, roads, notes, waiting visits."""


class RouteRow(Base):
    """One technician's route on a planned day; ``body`` holds stops and line."""

    __tablename__ = "route"
    __table_args__ = (UniqueConstraint("day_id", "technician_id"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    day_id: Mapped[int] = mapped_column(ForeignKey("day.id"))
    technician_id: Mapped[int] = mapped_column(ForeignKey("technician.id"))
    leaves: Mapped[datetime]
    returns: Mapped[datetime]
    drive_s: Mapped[float]
    drive_m: Mapped[float]
    wait_s: Mapped[float]
    body: Mapped[dict[str, Any]]


class HoldRow(Base):
    """A visit fixed by the dispatcher on a date."""

    __tablename__ = "hold"
    __table_args__ = (UniqueConstraint("site_id", "on_date"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"), index=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    on_date: Mapped[date]
    technician_id: Mapped[int | None] = mapped_column(ForeignKey("technician.id"))
    held_by: Mapped[str] = mapped_column(default="")
    held_at: Mapped[datetime]
    note: Mapped[str] = mapped_column(default="")
    from_min: Mapped[int | None]
    to_min: Mapped[int | None]


class RuleOutRow(Base):
    """A technician who does not go to a site, on a date or (no date) until further notice."""

    __tablename__ = "rule_out"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"), index=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    technician_id: Mapped[int] = mapped_column(ForeignKey("technician.id"))
    on_date: Mapped[date | None]
    note: Mapped[str] = mapped_column(default="")


class VisitLinkRow(Base):
    """Two sites that are worked at one after the other on a date."""

    __tablename__ = "visit_link"
    __table_args__ = (UniqueConstraint("on_date", "first_site_id", "then_site_id"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"), index=True)
    on_date: Mapped[date]
    first_site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    then_site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    same_truck: Mapped[bool] = mapped_column(default=False)


class ErrandRow(Base):
    """A stop at a place outside that must be made on a date."""

    __tablename__ = "errand"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"), index=True)
    on_date: Mapped[date]
    name: Mapped[str]
    lon: Mapped[float]
    lat: Mapped[float]
    minutes: Mapped[float]
    from_min: Mapped[int]
    to_min: Mapped[int]
    technician_id: Mapped[int | None] = mapped_column(ForeignKey("technician.id"))
    note: Mapped[str] = mapped_column(default="")


class JobRow(Base):
    """A long piece of work that a page asked for: queued, running, done or failed."""

    __tablename__ = "job"
    __table_args__ = (Index("ix_job_kind_subject_id", "kind", "subject", "id"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    kind: Mapped[str]
    subject: Mapped[str]
    state: Mapped[str] = mapped_column(default="queued")
    progress: Mapped[str] = mapped_column(default="")
    asked_by: Mapped[str] = mapped_column(default="")
    asked_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    pid: Mapped[int | None]
