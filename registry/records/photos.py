"""A photo of a site: what is said of it, apart from its picture."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """One photo; append-only, its picture is kept once under ``digest`` (SHA-256 of its bytes).

    ``id`` is a UUID made where it was taken. It may be of a visit, of a finding there, of a
    component; a visit or finding that is not kept yet is found by its id later. ``taken_at`` is the
    device's moment, ``device_offset_s`` what must be added to it for the server's clock [s].
    ``width_px`` and ``height_px`` are those of the upright picture. ``preview_digest`` is that of
    a small picture of the same, empty = none came with it. ``taken_back`` says why a photo
    is not shown any more, empty = it is.
    """

    id: str
    site_id: int
    visit_id: str = ""
    finding_id: str = ""
    component_id: int | None = None
    taken_at: datetime
    device_offset_s: float | None = None
    technician: str = ""
    technician_id: int | None = None
    caption: str = ""
    digest: str = ""
    preview_digest: str = ""
    media_type: str = ""
    size_bytes: int = 0
    width_px: int = 0
    height_px: int = 0
    recorded_by: str = ""
    recorded_at: datetime | None = None
    taken_back: str = ""
