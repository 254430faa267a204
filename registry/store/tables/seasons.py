"""Seasons: the week of every visit of a year, each making of it a row of its own."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class SeasonRow(Base):
    """One season; the newest of a firm is in force."""

    __tablename__ = "season"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"), index=True)
    first_on: Mapped[date]
    n_weeks: Mapped[int]
    made_at: Mapped[datetime]
    told: Mapped[dict[str, Any]]


class SeasonVisitRow(Base):
    """One visit of a season and its week, by the Monday."""

    __tablename__ = "season_visit"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    season_id: Mapped[int] = mapped_column(ForeignKey("season.id"), index=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    week_on: Mapped[date]
    due_on: Mapped[date | None]
    tasks: Mapped[list[Any]]
    minutes: Mapped[int]
    late: Mapped[bool] = mapped_column(default=False)
    in_barred_week: Mapped[bool] = mapped_column(default=False)
    promised_at: Mapped[datetime | None]
