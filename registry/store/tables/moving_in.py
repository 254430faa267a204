"""What sites are located by, and rows of another source that wait for a person."""

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class KnownPlaceRow(Base):
    """A parcel or an address point of a published layer.

    ``code`` and ``loose`` are the parcel number as it is compared, or the house number and "".
    """

    __tablename__ = "known_place"
    __table_args__ = (
        Index("ix_known_place_kind_code", "kind", "code"),
        Index("ix_known_place_kind_loose", "kind", "loose"),
        Index("ix_known_place_source", "source"),
    )
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    kind: Mapped[str]
    code: Mapped[str]
    loose: Mapped[str] = mapped_column(default="")
    said: Mapped[str]
    town: Mapped[str] = mapped_column(default="")
    lon: Mapped[float]
    lat: Mapped[float]
    accuracy_m: Mapped[float | None]
    source: Mapped[str]


class PlaceOfferRow(Base):
    """A place that a site may be at; ``refused`` once a person has said that it is not."""

    __tablename__ = "place_offer"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    kind: Mapped[str]
    said: Mapped[str]
    town: Mapped[str] = mapped_column(default="")
    lon: Mapped[float]
    lat: Mapped[float]
    accuracy_m: Mapped[float | None]
    source: Mapped[str]
    score: Mapped[float]
    why: Mapped[str]
    refused: Mapped[bool] = mapped_column(default=False)


class ForeignRow(Base):
    """A row of another source's file: what it says, and which site a person said it is."""

    __tablename__ = "foreign_row"
    __table_args__ = (
        UniqueConstraint("firm_id", "source", "key"),
        Index("ix_foreign_row_firm_id_state_id", "firm_id", "state", "id"),
    )
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    source: Mapped[str]
    key: Mapped[str]
    imported_at: Mapped[datetime]
    file_name: Mapped[str]
    says: Mapped[dict[str, Any]]
    state: Mapped[str]
    site_id: Mapped[int | None] = mapped_column(ForeignKey("site.id"))
    decided_by: Mapped[str] = mapped_column(default="")
    decided_at: Mapped[datetime | None]


class MatchOfferRow(Base):
    """A site that a row of another source may be, and what speaks for it."""

    __tablename__ = "match_offer"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    foreign_id: Mapped[int] = mapped_column(ForeignKey("foreign_row.id"), index=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    same_parcel: Mapped[bool]
    same_address: Mapped[bool]
    apart_m: Mapped[float | None]
    score: Mapped[float]
