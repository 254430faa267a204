"""Letters written to owners of overdue systems; append-only."""

from datetime import date, datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class LetterRow(Base):
    """One letter as it was written; ``sender`` tells whose it is, ``batch`` those made together."""

    __tablename__ = "letter"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    batch: Mapped[str] = mapped_column(index=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    sender: Mapped[str]
    sender_name: Mapped[str]
    written_on: Mapped[date]
    to_name: Mapped[str] = mapped_column(default="")
    to_address: Mapped[str] = mapped_column(default="")
    body: Mapped[str]
    written_by: Mapped[str] = mapped_column(default="")
    noted_at: Mapped[datetime]
