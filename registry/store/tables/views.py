"""Saved views of the county map."""

from typing import Any

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class SavedViewRow(Base):
    """The filters of a view by their texts, under a name that its sign-in gave."""

    __tablename__ = "saved_view"
    __table_args__ = (UniqueConstraint("user_id", "name"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    user_id: Mapped[int] = mapped_column(ForeignKey("user_account.id"))
    name: Mapped[str]
    asked: Mapped[dict[str, Any]]
