"""PNG files: the chunks that a picture needs are kept, all others are left out.

Chunks by the W3C's Portable Network Graphics, third edition, section 11.
"""

import struct
import zlib

from registry.errors import RangeError
from registry.field.pictures.exif import UPRIGHT, Told, only_orientation, told_by

SIGNATURE = b"\x89PNG\r\n\x1a\n"
KEPT = {b"IHDR", b"PLTE", b"tRNS", b"gAMA", b"sRGB", b"IDAT", b"IEND"}
CRITICAL = 0x20
"""A name whose first letter is a capital must be understood (section 5.4)."""
CUT = "The photo is not whole: it ends too early or is damaged. Take or send it again."
UNUSUAL = "The photo is a kind of PNG that pages do not show. Save it as a usual JPEG."


def clean_png(data: bytes) -> tuple[bytes, tuple[int, int], Told]:
    """Return a PNG without metadata, its width and height as stored, and what its Exif told.

    Orientation is the only thing that is kept of the Exif block; a moving picture becomes its first
    frame; whatever follows the end of the picture is cut off.

    Raises
    ------
    RangeError
        If it is cut off, damaged, or of a kind that pages do not show.
    """
    kept: list[tuple[bytes, bytes]] = []
    told = Told()
    at = len(SIGNATURE)
    while not kept or kept[-1][0] != b"IEND":
        name, payload, at = _chunk(data, at)
        if (name == b"IHDR") != (not kept) or (name == b"IHDR" and len(payload) != 13):
            raise RangeError(UNUSUAL)
        if name == b"eXIf" and told == Told():
            told = told_by(payload)
        if name in KEPT:
            kept.append((name, payload))
        elif not name[0] & CRITICAL:
            raise RangeError(UNUSUAL)
    if not any(name == b"IDAT" for name, _ in kept):
        raise RangeError(UNUSUAL)
    if told.orientation != UPRIGHT:
        kept.insert(1, (b"eXIf", only_orientation(told.orientation)))
    width_px, height_px = struct.unpack_from(">LL", kept[0][1])
    return SIGNATURE + b"".join(written(*one) for one in kept), (width_px, height_px), told


def written(name: bytes, payload: bytes) -> bytes:
    """Return a chunk as it stands in a file."""
    check = zlib.crc32(payload, zlib.crc32(name))
    return struct.pack(">L", len(payload)) + name + payload + struct.pack(">L", check)


def _chunk(data: bytes, at: int) -> tuple[bytes, bytes, int]:
    if at + 12 > len(data):
        raise RangeError(CUT)
    length, name = struct.unpack_from(">L4s", data, at)
    end = at + 12 + length
    payload = data[at + 8 : end - 4]
    if end > len(data) or written(name, payload) != data[at:end]:
        raise RangeError(CUT)
    return name, payload, end
