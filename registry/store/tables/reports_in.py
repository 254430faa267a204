"""Reports that came in from other firms, those taken back, and who is licensed."""

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class LicensedRow(Base):
    """A person or firm on an authority's list."""

    __tablename__ = "licensed"
    __table_args__ = (UniqueConstraint("jurisdiction_id", "number"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    jurisdiction_id: Mapped[int] = mapped_column(ForeignKey("jurisdiction.id"))
    number: Mapped[str]
    kind: Mapped[str] = mapped_column(default="")
    firm: Mapped[str] = mapped_column(default="")
    person: Mapped[str] = mapped_column(default="")
    valid_from: Mapped[date | None]
    valid_to: Mapped[date | None]


class ReportInRow(Base):
    """Where the visit of a report came from; append-only, as the visit itself is."""

    __tablename__ = "report_in"
    __table_args__ = (
        Index("ix_report_in_site_id", "site_id"),
        Index("ix_report_in_taken_in_at", "taken_in_at"),
    )
    visit_id: Mapped[str] = mapped_column(ForeignKey("visit.id"), primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    firm: Mapped[str]
    person: Mapped[str] = mapped_column(default="")
    licence: Mapped[str]
    received_on: Mapped[date]
    came_by: Mapped[str]
    source: Mapped[str] = mapped_column(default="")
    taken_in_by: Mapped[str]
    taken_in_at: Mapped[datetime]


class ReportInBackRow(Base):
    """A report that was taken back: its visit stands no more, and nothing in its place."""

    __tablename__ = "report_in_back"
    visit_id: Mapped[str] = mapped_column(ForeignKey("report_in.visit_id"), primary_key=True)
    taken_back_at: Mapped[datetime]
    taken_back_by: Mapped[str]
    why: Mapped[str] = mapped_column(default="")
