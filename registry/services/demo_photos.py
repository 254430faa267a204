"""Photos of the invented county: drawn here, so that pages have some to show."""

import struct
import zlib
from base64 import b64encode
from dataclasses import dataclass
from datetime import datetime, time
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from registry.field.pictures.png import SIGNATURE, written
from registry.records.changes import Role, Viewer
from registry.services.keep_photo import keep_photo
from registry.store import Session, names, places, sites, visits

IDS = UUID("0d6f1f0e-8a55-4c0e-9a44-6f3b3a1f7c11")
WIDTH_PX, HEIGHT_PX = 640, 480
SKY, GRASS, EARTH, STEEL, DARK, WOOD, GREEN = (
    *((201, 219, 230), (126, 150, 92), (150, 126, 96), (176, 182, 184)),
    *((52, 58, 60), (132, 100, 68), (62, 98, 72)),
)

type Box = tuple[int, int, int, int, tuple[int, int, int]]
"""Left, top, right, bottom [px] and colour."""
type Disc = tuple[int, int, int, tuple[int, int, int]]
"""Centre, radius [px] and colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One drawing; discs lie over boxes."""

    caption: str
    boxes: tuple[Box, ...] = ()
    discs: tuple[Disc, ...] = ()


SCENES = {
    "gate": Scene(
        caption="Drawing: the gate, from the road",
        boxes=(
            (0, 300, 640, 480, EARTH),
            *((left, 180, left + 16, 330, WOOD) for left in (60, 200, 424, 564)),
            *((60, top, 580, top + 12, WOOD) for top in (200, 240, 280)),
            (208, 190, 432, 310, STEEL),
            (220, 202, 420, 298, SKY),
            (208, 244, 432, 256, STEEL),
        ),
        discs=((520, 110, 70, GREEN), (570, 130, 56, GREEN)),
    ),
    "lids": Scene(
        caption="Drawing: tank lids from corner A, the outlet nearest to the fence",
        boxes=(
            (0, 150, 640, 480, GRASS),
            (0, 130, 640, 142, WOOD),
            *((left, 100, left + 10, 170, WOOD) for left in range(20, 640, 90)),
        ),
        discs=(
            *((x, y, 62, DARK) for x, y in ((210, 330), (430, 260))),
            *((x, y, 56, GREEN) for x, y in ((210, 330), (430, 260))),
            *((x + dx, y, 5, DARK) for x, y in ((210, 330), (430, 260)) for dx in (-42, 42)),
        ),
    ),
    "panel": Scene(
        caption="Drawing: panel, door shut, alarm light dark",
        boxes=(
            (0, 380, 640, 480, GRASS),
            (296, 200, 312, 420, WOOD),
            (220, 100, 400, 330, DARK),
            (228, 108, 392, 322, STEEL),
            (372, 200, 384, 236, DARK),
        ),
        discs=((310, 84, 16, (120, 60, 50)),),
    ),
    "field": Scene(
        caption="Drawing: grass over the laterals, dry and even",
        boxes=((0, 170, 640, 480, GRASS), (0, 160, 640, 170, GREEN)),
        discs=tuple((x, y, 12, STEEL) for y in (230, 310, 400) for x in (90, 550)),
    ),
}
OF_SITES = {"W-1021": ("gate", "lids", "panel"), "W-1202": ("field", "lids"), "W-1228": ("gate",)}
"""Site → its drawings, taken at its last visit, ten minutes apart."""


def keep_demo_photos(session: Session, now: datetime) -> int:
    """Keep the drawings as photos of some sites' last visits; return how many there are."""
    for key, drawn in OF_SITES.items():
        for firm_id in names.firm_ids(session).values():
            for site_id in sites.site_ids_of(session, key, firm_id):
                _keep(session, firm_id, site_id, drawn, now)
    return sum(len(drawn) for drawn in OF_SITES.values())


def drawing(scene: Scene, step: int = 1) -> bytes:
    """Return a drawing as a PNG (W3C, Portable Network Graphics, third edition).

    ``step``: only each so many-th line and column, for a preview.
    """
    shown: NDArray[np.uint8] = np.empty((HEIGHT_PX, WIDTH_PX, 3), np.uint8)
    shown[:] = SKY
    for left, top, right, bottom, colour in scene.boxes:
        shown[top:bottom, left:right] = colour
    rows, columns = np.ogrid[:HEIGHT_PX, :WIDTH_PX]
    for x, y, radius, colour in scene.discs:
        shown[(columns - x) ** 2 + (rows - y) ** 2 <= radius**2] = colour
    shown = shown[::step, ::step]
    height_px, width_px, _ = shown.shape
    head = struct.pack(">LLBBBBB", width_px, height_px, 8, 2, 0, 0, 0)
    filters = np.zeros((height_px, 1), np.uint8)  # each line begins with its filter
    lines = np.hstack([filters, shown.reshape(height_px, -1)])
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(lines.tobytes(), 9)), (b"IEND", b""))
    return SIGNATURE + b"".join(written(*one) for one in chunks)


def _keep(
    session: Session, firm_id: int, site_id: int, drawn: tuple[str, ...], now: datetime
) -> None:
    who = Viewer(name="demonstration", role=Role.ADMINISTRATOR, firm_id=firm_id)
    (site,) = sites.sites(session, [site_id])
    zone = ZoneInfo(places.jurisdiction(session, site.jurisdiction_id).time_zone)
    made = visits.visits_of_site(session, site_id)
    for number, name in enumerate(drawn if made else ()):
        taken = datetime.combine(made[0].on_date, time(11, 10 * number), zone)
        body = {
            "id": str(uuid5(IDS, f"{site.key} {name}")),
            "site_id": site_id,
            "technician_id": made[0].technician_id,
            "taken_at": taken.isoformat(),
            "caption": SCENES[name].caption,
            "preview": b64encode(drawing(SCENES[name], step=2)).decode(),
        }
        keep_photo(session, who, body, drawing(SCENES[name]), now)
