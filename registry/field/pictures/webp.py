"""WebP files: the chunks that a still picture needs are kept, all others are left out.

Chunks by RFC 9649, section 2; the head of a lossy picture by RFC 6386, section 9.1.
"""

import struct

from registry.errors import RangeError
from registry.field.pictures.exif import UPRIGHT, Told, only_orientation, told_by
from registry.field.pictures.sizes import hold_size

LOSSY, LOSSLESS, EXTENDED = b"VP8 ", b"VP8L", b"VP8X"
ALPHA, EXIF = 0x10, 0x08
"""Flags of the extended head."""
CUT = "The photo is not whole: it ends too early. Take or send it again."
UNUSUAL = "The photo is a kind of WebP that pages do not show. Save it as a usual JPEG."


def clean_webp(data: bytes) -> tuple[bytes, tuple[int, int], Told]:
    """Return a WebP without metadata, its width and height as stored, and what its Exif told.

    Orientation is the only thing that is kept of the Exif block; whatever follows the end of the
    picture is cut off.

    Raises
    ------
    RangeError
        If it is cut off, damaged, moving, or of a kind that pages do not show.
    """
    chunks = _chunks(data)
    pictures = [name for name in (LOSSY, LOSSLESS) if name in chunks]
    if len(pictures) != 1 or b"ANMF" in chunks:
        raise RangeError(UNUSUAL)
    (name,) = pictures
    size_px = (_lossy_size if name == LOSSY else _lossless_size)(chunks[name])
    hold_size(*size_px)
    told = told_by(chunks.get(b"EXIF", b"").removeprefix(b"Exif\0\0"))
    kept = [(name, chunks[name])]
    flags = 0
    if name == LOSSY and b"ALPH" in chunks:
        kept.insert(0, (b"ALPH", chunks[b"ALPH"]))
        flags |= ALPHA
    if told.orientation != UPRIGHT:
        kept.append((b"EXIF", only_orientation(told.orientation)))
        flags |= EXIF
    if flags:
        sides = b"".join((side_px - 1).to_bytes(3, "little") for side_px in size_px)
        kept.insert(0, (EXTENDED, struct.pack("<L", flags) + sides))
    body = b"WEBP" + b"".join(_written(*one) for one in kept)
    return b"RIFF" + struct.pack("<L", len(body)) + body, size_px, told


def _chunks(data: bytes) -> dict[bytes, bytes]:
    """Return the first chunk of each name."""
    end = 8 + int.from_bytes(data[4:8], "little")
    if end > len(data):
        raise RangeError(CUT)
    found: dict[bytes, bytes] = {}
    at = 12
    while at + 8 <= end:
        name, length = struct.unpack_from("<4sL", data, at)
        if at + 8 + length > end:
            raise RangeError(CUT)
        found.setdefault(name, data[at + 8 : at + 8 + length])
        at += 8 + length + length % 2
    return found


def _lossy_size(payload: bytes) -> tuple[int, int]:
    if len(payload) < 10 or payload[3:6] != b"\x9d\x01\x2a":
        raise RangeError(UNUSUAL)
    width_px, height_px = struct.unpack_from("<HH", payload, 6)
    return width_px & 0x3FFF, height_px & 0x3FFF


def _lossless_size(payload: bytes) -> tuple[int, int]:
    if len(payload) < 5 or payload[:1] != b"\x2f":
        raise RangeError(UNUSUAL)
    bits = int.from_bytes(payload[1:5], "little")
    return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1


def _written(name: bytes, payload: bytes) -> bytes:
    return name + struct.pack("<L", len(payload)) + payload + b"\0" * (len(payload) % 2)
