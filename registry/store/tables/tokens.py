"""Personal tokens, by which other programs read in the name of a sign-in."""

from datetime import datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class AccessTokenRow(Base):
    """A token of one sign-in; its secret is kept as a hash only."""

    __tablename__ = "access_token"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    user_id: Mapped[int] = mapped_column(ForeignKey("user_account.id"), index=True)
    label: Mapped[str]
    scope: Mapped[str]
    """What it opens; a token never writes."""
    secret_hash: Mapped[str] = mapped_column(unique=True)
    made_at: Mapped[datetime]
    last_used_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]
