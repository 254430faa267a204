"""Photos, their pictures once each, and why some are not shown any more; all append-only."""

from datetime import datetime

from sqlalchemy import ForeignKey, Index, LargeBinary
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class PhotoContentRow(Base):
    """One picture, by the SHA-256 of its bytes; photos that are the same share it."""

    __tablename__ = "photo_content"
    digest: Mapped[str] = mapped_column(primary_key=True)
    body: Mapped[bytes] = mapped_column(LargeBinary)


class PhotoRow(Base):
    """What is said of a photo; visit and finding may come later than it, so they are no keys."""

    __tablename__ = "photo"
    __table_args__ = (
        Index("ix_photo_site_id", "site_id"),
        Index("ix_photo_digest", "digest"),
        Index("ix_photo_preview_digest", "preview_digest"),
    )
    id: Mapped[str] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    visit_id: Mapped[str]
    finding_id: Mapped[str]
    component_id: Mapped[int | None] = mapped_column(Id)
    taken_at: Mapped[datetime]
    device_offset_s: Mapped[float | None]
    technician: Mapped[str]
    technician_id: Mapped[int | None] = mapped_column(Id)
    caption: Mapped[str]
    digest: Mapped[str] = mapped_column(ForeignKey("photo_content.digest"))
    media_type: Mapped[str]
    size_bytes: Mapped[int]
    width_px: Mapped[int]
    height_px: Mapped[int]
    recorded_by: Mapped[str]
    recorded_at: Mapped[datetime]
    preview_digest: Mapped[str] = mapped_column(server_default="")


class PhotoTakenBackRow(Base):
    """The note that takes a photo back: it is kept, but shown to nobody any more."""

    __tablename__ = "photo_taken_back"
    photo_id: Mapped[str] = mapped_column(ForeignKey("photo.id"), primary_key=True)
    why: Mapped[str]
    taken_back_by: Mapped[str]
    taken_back_at: Mapped[datetime]
