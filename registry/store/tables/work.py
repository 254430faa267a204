"""Task kinds, interval rules and obligations."""

from datetime import date
from typing import Any

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class TaskKindRow(Base):
    """One kind of task; the fields of ``registry.records.work.TaskKind`` are in ``body``."""

    __tablename__ = "task_kind"
    code: Mapped[str] = mapped_column(primary_key=True)
    name: Mapped[str]
    body: Mapped[dict[str, Any]]


class ReadingKindRow(Base):
    """One kind of reading; the fields of ``registry.records.reading_kinds`` are in ``body``."""

    __tablename__ = "reading_kind"
    code: Mapped[str] = mapped_column(primary_key=True)
    body: Mapped[dict[str, Any]]


class IntervalRuleRow(Base):
    """One interval rule; the fields of ``registry.records.work.IntervalRule`` are in ``body``."""

    __tablename__ = "interval_rule"
    code: Mapped[str] = mapped_column(primary_key=True)
    task: Mapped[str] = mapped_column(index=True)
    rule_set: Mapped[str] = mapped_column(default="")
    body: Mapped[dict[str, Any]]


class ObligationRow(Base):
    """One task owed by one system; firm and jurisdiction are copied so that one index answers."""

    __tablename__ = "obligation"
    __table_args__ = (
        UniqueConstraint("system_id", "task"),
        Index(
            "ix_obligation_jurisdiction_id_due_on_id_grace_days",
            "jurisdiction_id",
            "due_on",
            "id",
            "grace_days",
        ),
        Index(
            "ix_obligation_firm_id_due_on_id_grace_days", "firm_id", "due_on", "id", "grace_days"
        ),
        Index("ix_obligation_due_on_id", "due_on", "id"),
        Index("ix_obligation_site_id", "site_id"),
    )
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    system_id: Mapped[int] = mapped_column(ForeignKey("system.id"))
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    jurisdiction_id: Mapped[int] = mapped_column(ForeignKey("jurisdiction.id"))
    task: Mapped[str]
    rule_code: Mapped[str] = mapped_column(default="")
    source: Mapped[str] = mapped_column(default="")
    last_done: Mapped[date | None]
    counted_from: Mapped[date | None]
    due_on: Mapped[date | None]
    estimated: Mapped[bool] = mapped_column(default=False)
    grace_days: Mapped[int] = mapped_column(default=0)
    horizon_days: Mapped[int] = mapped_column(default=30)
    reason: Mapped[str] = mapped_column(default="")


class SystemDueRow(Base):
    """The earliest-due obligation of each system, so that a map reads one row a system.

    ``cell`` is the map cell that the site lay in when the row was written, see ``store.cells``;
    town and kind are copied so that one index counts by them.
    """

    __tablename__ = "system_due"
    __table_args__ = (
        Index(
            "ix_system_due_jurisdiction_id_due_on_grace_days",
            "jurisdiction_id",
            "due_on",
            "grace_days",
        ),
        Index("ix_system_due_firm_id_due_on_grace_days", "firm_id", "due_on", "grace_days"),
        Index(
            "ix_system_due_jurisdiction_id_town_kind_due_on_grace_days",
            "jurisdiction_id",
            "town",
            "kind",
            "due_on",
            "grace_days",
        ),
        Index("ix_system_due_site_id", "site_id"),
        Index("ix_system_due_cell", "cell", "jurisdiction_id", "firm_id", "due_on", "grace_days"),
        Index("ix_system_due_obligation_id", "obligation_id"),
    )
    system_id: Mapped[int] = mapped_column(ForeignKey("system.id"), primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    jurisdiction_id: Mapped[int] = mapped_column(ForeignKey("jurisdiction.id"))
    obligation_id: Mapped[int] = mapped_column(ForeignKey("obligation.id"))
    task: Mapped[str]
    counted_from: Mapped[date | None]
    due_on: Mapped[date | None]
    grace_days: Mapped[int] = mapped_column(default=0)
    cell: Mapped[int | None] = mapped_column(Id)
    town: Mapped[str] = mapped_column(default="", server_default="")
    kind: Mapped[str] = mapped_column(default="", server_default="")
