"""Firms, jurisdictions, sites, windows, agreements."""

from datetime import date
from typing import Any

from sqlalchemy import ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class FirmRow(Base):
    """A service firm."""

    __tablename__ = "firm"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    yard_lon: Mapped[float | None]
    yard_lat: Mapped[float | None]
    phone: Mapped[str] = mapped_column(default="")
    keep_free_min: Mapped[int] = mapped_column(default=0)
    keep_free_by_min: Mapped[int] = mapped_column(default=720)
    even_work_percent: Mapped[int] = mapped_column(default=0)
    daylight_only: Mapped[bool] = mapped_column(default=True)
    alone_margin_min: Mapped[int] = mapped_column(default=30)


class JurisdictionRow(Base):
    """An authority with its time zone, rule set, bounding box and stated datum offset."""

    __tablename__ = "jurisdiction"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    time_zone: Mapped[str] = mapped_column(default="UTC")
    rule_set: Mapped[str] = mapped_column(default="")
    west: Mapped[float | None]
    south: Mapped[float | None]
    east: Mapped[float | None]
    north: Mapped[float | None]
    ngvd29_to_navd88_ft: Mapped[float | None]
    pump_out_trigger: Mapped[str] = mapped_column(default="MN")
    report_days: Mapped[int | None]
    hospital: Mapped[str] = mapped_column(default="", server_default="")


class SiteRow(Base):
    """One place that is visited. On PostGIS the migration adds generated geom and geom3857."""

    __tablename__ = "site"
    __table_args__ = (
        UniqueConstraint("firm_id", "key"),
        Index("ix_site_lon_lat", "lon", "lat"),
        Index("ix_site_jurisdiction_id_id", "jurisdiction_id", "id"),
        Index("ix_site_parcel", "parcel"),
        Index(
            "ix_site_merged_into_id",
            "merged_into_id",
            sqlite_where=text("merged_into_id IS NOT NULL"),
            postgresql_where=text("merged_into_id IS NOT NULL"),
        ),
    )
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    key: Mapped[str]
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    jurisdiction_id: Mapped[int] = mapped_column(ForeignKey("jurisdiction.id"))
    lon: Mapped[float | None]
    lat: Mapped[float | None]
    position_source: Mapped[str] = mapped_column(default="")
    position_accuracy_m: Mapped[float | None]
    address: Mapped[str] = mapped_column(default="")
    town: Mapped[str] = mapped_column(default="")
    parcel: Mapped[str] = mapped_column(default="")
    access_note: Mapped[str] = mapped_column(default="")
    gate_note: Mapped[str] = mapped_column(default="")
    gate_code: Mapped[str] = mapped_column(default="")
    private_note: Mapped[str] = mapped_column(default="")
    hazards: Mapped[list[Any]] = mapped_column(default=list)
    corner_note: Mapped[str] = mapped_column(default="")
    corner_b_note: Mapped[str] = mapped_column(default="")
    corner_b_bearing_deg: Mapped[float | None]
    corner_b_distance_ft: Mapped[float | None]
    owner_name: Mapped[str] = mapped_column(default="")
    owner_phone: Mapped[str] = mapped_column(default="")
    owner_email: Mapped[str] = mapped_column(default="")
    owner_address: Mapped[str] = mapped_column(default="")
    water_available_gal: Mapped[float | None]
    occupied_share: Mapped[float] = mapped_column(default=1.0)
    season_from: Mapped[str] = mapped_column(default="")
    season_to: Mapped[str] = mapped_column(default="")
    note: Mapped[str] = mapped_column(default="")
    active: Mapped[bool] = mapped_column(default=True)
    merged_into_id: Mapped[int | None] = mapped_column(
        ForeignKey("site.id", name="fk_site_merged_into_id_site")
    )


class ServiceWindowRow(Base):
    """Hours in which the owner opens, by weekday."""

    __tablename__ = "service_window"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    weekday: Mapped[int]
    opens_min: Mapped[int]
    closes_min: Mapped[int]


class WindowExceptionRow(Base):
    """Other hours on one date; no hours = closed."""

    __tablename__ = "window_exception"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    on_date: Mapped[date]
    opens_min: Mapped[int | None]
    closes_min: Mapped[int | None]
    note: Mapped[str] = mapped_column(default="")


class AgreementRow(Base):
    """A service agreement."""

    __tablename__ = "agreement"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    starts_on: Mapped[date]
    ends_on: Mapped[date | None]
    visits_a_year: Mapped[float | None]
    includes: Mapped[list[Any]] = mapped_column(default=list)
    renewal: Mapped[str] = mapped_column(default="")
    renews_on: Mapped[date | None]
