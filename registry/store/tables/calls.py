"""Calls to owners before a visit."""

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class CallMadeRow(Base):
    """A call that was made ahead of a visit; the newest of a site and date holds, all are kept."""

    __tablename__ = "call_made"
    __table_args__ = (Index("ix_call_made_firm_id_on_date_id", "firm_id", "on_date", "id"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    on_date: Mapped[date]
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    agreed: Mapped[str] = mapped_column(default="")
    called_by: Mapped[str] = mapped_column(default="")
    called_at: Mapped[datetime]
