"""Reports: what rule sets ask for, that they were sent, and findings mended."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class ReportRuleRow(Base):
    """One rule on reports; the fields of ``records.reports.ReportRule`` are in ``body``."""

    __tablename__ = "report_rule"
    code: Mapped[str] = mapped_column(primary_key=True)
    body: Mapped[dict[str, Any]]


class ReportSentRow(Base):
    """A report of a visit was sent, or a note of that is taken back; append-only."""

    __tablename__ = "report_sent"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"), index=True)
    to: Mapped[str] = mapped_column("sent_to")
    sent_on: Mapped[date]
    how: Mapped[str]
    note: Mapped[str] = mapped_column(default="")
    noted_by: Mapped[str] = mapped_column(default="")
    noted_at: Mapped[datetime]
    takes_back: Mapped[int | None] = mapped_column(ForeignKey("report_sent.id"))


class FindingMendedRow(Base):
    """A finding was mended, or a note of that is taken back; append-only."""

    __tablename__ = "finding_mended"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    finding_id: Mapped[str] = mapped_column(ForeignKey("finding.id"), index=True)
    mended_on: Mapped[date]
    note: Mapped[str] = mapped_column(default="")
    noted_by: Mapped[str] = mapped_column(default="")
    noted_at: Mapped[datetime]
    takes_back: Mapped[int | None] = mapped_column(ForeignKey("finding_mended.id"))
