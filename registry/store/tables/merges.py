"""Records of one site that were merged by hand, and pairs that are two sites after all."""

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class SiteMergeRow(Base):
    """That a record was merged into that of ``site_id``, and all that it takes to undo it.

    ``choices`` say by field which record's value was taken. ``rows`` are the columns that were
    changed: table → id → column → before and after. ``owed`` are the obligations of both before.
    """

    __tablename__ = "site_merge"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    merged_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    choices: Mapped[dict[str, Any]]
    rows: Mapped[dict[str, Any]]
    owed: Mapped[list[Any]]
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[str] = mapped_column(default="")


class SitesApartRow(Base):
    """That two sites that look alike are two; the smaller id first."""

    __tablename__ = "sites_apart"
    first_id: Mapped[int] = mapped_column(ForeignKey("site.id"), primary_key=True)
    then_id: Mapped[int] = mapped_column(ForeignKey("site.id"), primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
