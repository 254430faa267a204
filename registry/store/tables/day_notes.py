"""What happens while a day runs, as it is noted."""

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class DayNoteRow(Base):
    """One note about a day that runs; later ones of the same stop or person hold."""

    __tablename__ = "day_note"
    __table_args__ = (Index("ix_day_note_firm_id_on_date_id", "firm_id", "on_date", "id"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    on_date: Mapped[date]
    kind: Mapped[str]
    technician_id: Mapped[int | None] = mapped_column(ForeignKey("technician.id"))
    site_id: Mapped[int | None] = mapped_column(ForeignKey("site.id"))
    at_min: Mapped[int]
    from_min: Mapped[int | None]
    to_min: Mapped[int | None]
    minutes: Mapped[float | None]
    text: Mapped[str] = mapped_column(default="")
    noted_by: Mapped[str] = mapped_column(default="")
    noted_at: Mapped[datetime]
