"""What a photo's Exif block says of how to hold it and when it was taken; all else is left out.

Tags by CIPA DC-008 (Exif 2.31), tables 4 and 7; the block is laid out like TIFF 6.0, section 2.
"""

import struct
from dataclasses import dataclass
from datetime import datetime

ORIENTATION, EXIF_PLACE = 0x0112, 0x8769
TAKEN, TAKEN_OFFSET = 0x9003, 0x9011
SHORT, LONG, ASCII = 3, 4, 2
UPRIGHT = 1
SIDEWAYS = range(5, 9)
"""Orientations that change width and height."""
MOST_ENTRIES = 200

type Entries = dict[int, tuple[int, int, bytes]]


@dataclass(frozen=True, slots=True)
class Told:
    """How a picture is held (1 to 8), and the moment it was taken; without a zone = local."""

    orientation: int = UPRIGHT
    taken: datetime | None = None


def told_by(block: bytes) -> Told:
    """Return what an Exif block says; a damaged one says nothing, and is no reason to refuse."""
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(block[:4])
    if order is None:
        return Told()
    try:
        first = _entries(block, order, struct.unpack_from(order + "L", block, 4)[0])
        more = _entries(block, order, _number(first, EXIF_PLACE, order))
    except struct.error:
        return Told()
    said = _number(first, ORIENTATION, order)
    return Told(
        orientation=said if said in range(1, 9) else UPRIGHT,
        taken=_moment(_text(more, TAKEN, block, order), _text(more, TAKEN_OFFSET, block, order)),
    )


def only_orientation(orientation: int) -> bytes:
    """Return an Exif block that says how a picture is held, and nothing else."""
    return struct.pack(">4sLHHHLHHL", b"MM\0*", 8, 1, ORIENTATION, SHORT, 1, orientation, 0, 0)


def _entries(block: bytes, order: str, at: int) -> Entries:
    """Return a directory's entries: tag → type, count, and the four bytes of value or place."""
    if not at:
        return {}
    (count,) = struct.unpack_from(order + "H", block, at)
    found = (
        struct.unpack_from(order + "HHL4s", block, at + 2 + 12 * number)
        for number in range(min(count, MOST_ENTRIES))
    )
    return {tag: (kind, many, value) for tag, kind, many, value in found}


def _number(entries: Entries, tag: int, order: str) -> int:
    kind, _, value = entries.get(tag, (0, 0, b""))
    if kind not in {SHORT, LONG}:
        return 0
    return int(struct.unpack_from(order + ("H" if kind == SHORT else "L"), value)[0])


def _text(entries: Entries, tag: int, block: bytes, order: str) -> str:
    kind, many, value = entries.get(tag, (0, 0, b""))
    if kind != ASCII:
        return ""
    (at,) = struct.unpack(order + "L", value)
    said = value if many <= 4 else block[at : at + many]
    return said.rstrip(b"\0 ").decode("ascii", "replace")


def _moment(said: str, offset: str) -> datetime | None:
    """Return ``2026:06:15 14:05:00`` as a moment, with its offset where one is told."""
    written = said[:10].replace(":", "-") + "T" + said[11:19]
    for ending in (offset, ""):
        try:
            return datetime.fromisoformat(written + ending)
        except ValueError:
            continue
    return None
