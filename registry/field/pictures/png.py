"""PNG files: the chunks that a picture needs are kept, all others are left out.

Chunks by the W3C's Portable Network Graphics, third edition, section 11.
"""

import struct
import zlib
from collections.abc import Iterable

from registry.errors import RangeError
from registry.field.pictures.exif import UPRIGHT, Told, only_orientation, told_by
from registry.field.pictures.sizes import hold_size

SIGNATURE = b"\x89PNG\r\n\x1a\n"
KEPT = {b"IHDR", b"PLTE", b"tRNS", b"gAMA", b"sRGB", b"IDAT", b"IEND"}
CRITICAL = 0x20
"""A name whose first letter is a capital must be understood (section 5.4)."""
DEPTHS = {0: (1, 2, 4, 8, 16), 2: (8, 16), 3: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}
SAMPLES = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
"""Bits of a sample that there are, and samples of a pixel, by the kind of colours (table 12)."""
ADAM7 = (
    *((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4)),
    *((0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2)),
)
"""The seven passes of an interlaced picture: first column and row, steps across and down."""
PIECE_BYTES = 2**20
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
    hold_size(width_px, height_px)
    _unfold(kept[0][1], (payload for name, payload in kept if name == b"IDAT"))
    return SIGNATURE + b"".join(written(*one) for one in kept), (width_px, height_px), told


def _unfold(head: bytes, coded: Iterable[bytes]) -> None:
    """Unfold the picture piece by piece, to see that it is whole (sections 7.2, 8.1, 10, 11.2.1).

    Raises
    ------
    RangeError
        If it is not, or its head is of no kind that there is.
    """
    width_px, height_px, bits, colours, _, _, passes = struct.unpack(">LLBBBBB", head)
    if bits not in DEPTHS.get(colours, ()) or passes > 1:
        raise RangeError(UNUSUAL)
    wanted = sum(
        rows * (1 + -(-columns * bits * SAMPLES[colours] // 8))
        for columns, rows in (
            (-(-(width_px - x) // across), -(-(height_px - y) // down))
            for x, y, across, down in (ADAM7 if passes else ((0, 0, 1, 1),))
            if width_px > x and height_px > y
        )
    )
    unfolder, found = zlib.decompressobj(), 0
    try:
        for piece in coded:
            rest = piece
            while rest and found <= wanted:
                found += len(unfolder.decompress(rest, PIECE_BYTES))
                rest = unfolder.unconsumed_tail
    except zlib.error as wrong:
        raise RangeError(CUT) from wrong
    if found != wanted:
        raise RangeError(CUT)


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
