"""Phones that are paired with a technician's sign-in, and pairings that wait to be used."""

from datetime import datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class PhoneRow(Base):
    """A phone of one sign-in; its secret is kept as a hash only."""

    __tablename__ = "phone"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    user_id: Mapped[int] = mapped_column(ForeignKey("user_account.id"), index=True)
    name: Mapped[str]
    secret_hash: Mapped[str] = mapped_column(unique=True)
    paired_at: Mapped[datetime]
    paired_by: Mapped[str]
    last_seen_at: Mapped[datetime]
    signed_out_at: Mapped[datetime | None]
    signed_out_by: Mapped[str] = mapped_column(default="")
    wiped_at: Mapped[datetime | None]


class PairingRow(Base):
    """A one-time code that pairs a phone; the row is gone once it is used or too old."""

    __tablename__ = "pairing"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    technician_id: Mapped[int] = mapped_column(ForeignKey("technician.id"))
    phone_name: Mapped[str]
    code_hash: Mapped[str] = mapped_column(unique=True)
    made_by: Mapped[str]
    made_at: Mapped[datetime]
