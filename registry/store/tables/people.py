"""Sign-ins, the change history, and what was imported."""

from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class UserRow(Base):
    """A sign-in with one role."""

    __tablename__ = "user_account"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    password_hash: Mapped[str]
    role: Mapped[str]
    firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    technician_id: Mapped[int | None] = mapped_column(ForeignKey("technician.id"))
    active: Mapped[bool] = mapped_column(default=True)
    session_key: Mapped[str] = mapped_column(unique=True)
    """Changes when all sessions of the user must end."""
    made_at: Mapped[datetime]
    code_key: Mapped[str] = mapped_column(default="", server_default="")
    """The key of one-time codes in base 32, "" where the sign-in uses none."""
    code_step: Mapped[int | None] = mapped_column(BigInteger)
    """The time step of the last code that was taken: none is taken twice."""


class UserJurisdictionRow(Base):
    """A jurisdiction that a county user may see."""

    __tablename__ = "user_jurisdiction"
    user_id: Mapped[int] = mapped_column(ForeignKey("user_account.id"), primary_key=True)
    jurisdiction_id: Mapped[int] = mapped_column(ForeignKey("jurisdiction.id"), primary_key=True)


class SignInTryRow(Base):
    """A failed sign-in, counted so that throttling holds over several web processes."""

    __tablename__ = "sign_in_try"
    __table_args__ = (Index("ix_sign_in_try_subject_at", "subject", "at"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    subject: Mapped[str]
    at: Mapped[datetime]


class RequestCountRow(Base):
    """Requests of one kind that a sign-in sent, ``times`` at once, so that a limit holds."""

    __tablename__ = "request_count"
    __table_args__ = (Index("ix_request_count_subject_at", "subject", "at"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    subject: Mapped[str]
    at: Mapped[datetime]
    times: Mapped[int]


class ChangeRow(Base):
    """One changed field; append-only."""

    __tablename__ = "change"
    __table_args__ = (Index("ix_change_site_id_id", "site_id", "id"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    source: Mapped[str] = mapped_column(default="")
    kind: Mapped[str]
    row_id: Mapped[str]
    site_id: Mapped[int | None] = mapped_column(ForeignKey("site.id"))
    field: Mapped[str]
    before: Mapped[str] = mapped_column(default="")
    after: Mapped[str] = mapped_column(default="")


class ImportRow(Base):
    """One import: which file, by whom, what it did."""

    __tablename__ = "import_run"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    kind: Mapped[str]
    file_name: Mapped[str]
    digest: Mapped[str] = mapped_column(default="")
    counts: Mapped[dict[str, Any]]


class SettingRow(Base):
    """One setting of the store, for example that it is a demo store."""

    __tablename__ = "setting"
    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[str]
