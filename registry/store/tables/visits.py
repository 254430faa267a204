"""Visits and readings, append-only: a correction is a new row that names what it supersedes."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id

_IS_CORRECTION = text("supersedes IS NOT NULL")
ONLY_CORRECTIONS: dict[str, Any] = {
    "sqlite_where": _IS_CORRECTION,
    "postgresql_where": _IS_CORRECTION,
}
"""Few rows correct another. Were the many others in the index, SQLite's statistics would call it
useless, and each look for a correction would read the whole table."""


class VisitRow(Base):
    """One visit that was made; the id is a UUID made where it was recorded."""

    __tablename__ = "visit"
    __table_args__ = (
        Index("ix_visit_site_id_on_date", "site_id", "on_date"),
        Index("ix_visit_supersedes", "supersedes", **ONLY_CORRECTIONS),
    )
    id: Mapped[str] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    on_date: Mapped[date]
    technician: Mapped[str] = mapped_column(default="")
    technician_id: Mapped[int | None] = mapped_column(ForeignKey("technician.id"))
    outcome: Mapped[str] = mapped_column(default="in order")
    note: Mapped[str] = mapped_column(default="")
    recorded_by: Mapped[str] = mapped_column(default="")
    recorded_at: Mapped[datetime]
    supersedes: Mapped[str | None] = mapped_column(ForeignKey("visit.id"))


class VisitTaskRow(Base):
    """One task done at a visit."""

    __tablename__ = "visit_task"
    __table_args__ = (Index("ix_visit_task_system_id_task", "system_id", "task"),)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"), primary_key=True)
    system_id: Mapped[int] = mapped_column(ForeignKey("system.id"), primary_key=True)
    task: Mapped[str] = mapped_column(primary_key=True)


class ReadingRow(Base):
    """One value read at a visit."""

    __tablename__ = "reading"
    __table_args__ = (
        Index("ix_reading_site_id_kind_read_on", "site_id", "kind", "read_on"),
        Index("ix_reading_supersedes", "supersedes", **ONLY_CORRECTIONS),
    )
    id: Mapped[str] = mapped_column(primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"), index=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    system_id: Mapped[int | None] = mapped_column(ForeignKey("system.id"))
    component_id: Mapped[int | None] = mapped_column(Id)
    kind: Mapped[str]
    value: Mapped[float | None]
    text: Mapped[str] = mapped_column(default="")
    unit: Mapped[str] = mapped_column(default="")
    read_on: Mapped[date]
    note: Mapped[str] = mapped_column(default="")
    answer: Mapped[str] = mapped_column(default="", server_default="")
    supersedes: Mapped[str | None] = mapped_column(ForeignKey("reading.id"))
