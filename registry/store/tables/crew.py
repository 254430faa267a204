"""Technicians, trucks, fill points and disposal sites."""

from datetime import date
from typing import Any

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class TruckRow(Base):
    """A truck."""

    __tablename__ = "truck"
    __table_args__ = (UniqueConstraint("firm_id", "name"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    name: Mapped[str]
    water_gal: Mapped[float | None]
    septage_gal: Mapped[float | None]
    hose_ft: Mapped[float | None]
    weight_lb: Mapped[float | None]
    height_ft: Mapped[float | None]


class TechnicianRow(Base):
    """A technician; times are local minutes after midnight."""

    __tablename__ = "technician"
    __table_args__ = (UniqueConstraint("firm_id", "name"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    name: Mapped[str]
    initials: Mapped[str]
    home_lon: Mapped[float | None]
    home_lat: Mapped[float | None]
    shift_from_min: Mapped[int]
    shift_to_min: Mapped[int]
    lunch_from_min: Mapped[int | None]
    lunch_to_min: Mapped[int | None]
    lunch_min: Mapped[int] = mapped_column(default=30)
    overtime_min: Mapped[int] = mapped_column(default=0)
    overtime_percent: Mapped[int] = mapped_column(default=200)
    driving_percent: Mapped[int | None]
    workdays: Mapped[list[Any]] = mapped_column(default=list)
    skills: Mapped[list[Any]] = mapped_column(default=list)
    truck_id: Mapped[int | None] = mapped_column(ForeignKey("truck.id"))
    active: Mapped[bool] = mapped_column(default=True)
    phone: Mapped[str] = mapped_column(default="")


class LicenceRow(Base):
    """A licence or certificate with its dates."""

    __tablename__ = "licence"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    technician_id: Mapped[int] = mapped_column(ForeignKey("technician.id"), index=True)
    kind: Mapped[str]
    number: Mapped[str] = mapped_column(default="")
    valid_from: Mapped[date | None]
    valid_to: Mapped[date | None]
    jurisdiction: Mapped[str] = mapped_column(default="")


class DayOffRow(Base):
    """A date on which a technician is away."""

    __tablename__ = "day_off"
    technician_id: Mapped[int] = mapped_column(ForeignKey("technician.id"), primary_key=True)
    on_date: Mapped[date] = mapped_column(primary_key=True)


class FillPointRow(Base):
    """A place where a truck's water tank is filled."""

    __tablename__ = "fill_point"
    __table_args__ = (UniqueConstraint("firm_id", "name"),)
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    name: Mapped[str]
    lon: Mapped[float]
    lat: Mapped[float]
    minutes: Mapped[float] = mapped_column(default=12.0)
    opens_min: Mapped[int | None]
    closes_min: Mapped[int | None]


class DisposalSiteRow(Base):
    """A place that takes septage."""

    __tablename__ = "disposal_site"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    lon: Mapped[float]
    lat: Mapped[float]
    opens_min: Mapped[int | None]
    closes_min: Mapped[int | None]
    weekdays: Mapped[list[Any]] = mapped_column(default=list)
    note: Mapped[str] = mapped_column(default="")
