"""What guards people: recovery codes, who read private fields, what was erased."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class RecoveryCodeRow(Base):
    """A code that signs in once instead of the one-time code; the row is gone once it is used."""

    __tablename__ = "recovery_code"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    user_id: Mapped[int] = mapped_column(ForeignKey("user_account.id"), index=True)
    code_hash: Mapped[str]


class PrivateReadRow(Base):
    """Somebody was shown private fields: who, what kind of page or file, of which sites.

    ``site_id`` one site; without it ``on_date`` a day of the firm; without both the whole firm, and
    without ``firm_id`` too all firms. It holds no value of any field. Append-only.
    """

    __tablename__ = "private_read"
    __table_args__ = (
        Index("ix_private_read_at", "at"),
        Index("ix_private_read_site_id_id", "site_id", "id"),
    )
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    role: Mapped[str]
    what: Mapped[str]
    firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    site_id: Mapped[int | None] = mapped_column(Id)
    on_date: Mapped[date | None]


class ErasureRow(Base):
    """Personal fields were blanked: by whom, why, how many of each kind, never what they held."""

    __tablename__ = "erasure"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    subject: Mapped[str]
    reason: Mapped[str]
    counts: Mapped[dict[str, Any]]
