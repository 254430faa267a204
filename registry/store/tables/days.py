"""Planned days, held visits, and the travel network in use."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class DayRow(Base):
    """One plan of one date; the newest is in force, the older ones are its history."""

    __tablename__ = "day"
    __table_args__ = (Index("ix_day_firm_id_on_date_id", "firm_id", "on_date", "id"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    on_date: Mapped[date]
    made_at: Mapped[datetime]
    made_by: Mapped[str] = mapped_column(default="")
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
