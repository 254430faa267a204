"""JPEG files: the segments that a picture needs are kept, all others are left out.

Markers and segments by ITU-T T.81, annex B, table B.1; JFIF by ITU-T T.871; the segment of Exif by
CIPA DC-008, 4.7.2.
"""

import re
import struct
from dataclasses import dataclass, field

from registry.errors import RangeError
from registry.field.pictures.exif import UPRIGHT, Told, only_orientation, told_by
from registry.field.pictures.jpeg_parts import (
    PROGRESSIVE,
    Parts,
    read_codes,
    read_frame,
    read_scan,
    read_steps,
)
from registry.field.pictures.sizes import hold_size

SOI, EOI, SOS = b"\xff\xd8", 0xD9, 0xDA
BASELINE, EXTENDED = 0xC0, 0xC1
DHT, DQT, DRI = 0xC4, 0xDB, 0xDD
APP0, APP1, APP14 = 0xE0, 0xE1, 0xEE
ALONE = {0x01, *range(0xD0, 0xD8)}
"""Markers without a segment."""
LEFT_OUT = {*range(0xE0, 0xF0), 0xFE}
"""Application data and comments: position, camera, owner, thumbnails, whatever else."""
FRAMES = {BASELINE, EXTENDED, PROGRESSIVE}
NEEDED = {DHT, DQT, DRI, SOS, *FRAMES}
MOST_SCANS = 100
"""A progressive picture of more scans is made to keep a reader busy."""
SCAN_END = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]")
EXIF = b"Exif\0\0"
CUT = "The photo is not whole: it ends too early. Take or send it again."
UNUSUAL = "The photo is a kind of JPEG that pages do not show. Save it as a usual JPEG."


@dataclass(slots=True)
class _Read:
    """What is known of a file so far."""

    kept: list[bytes] = field(default_factory=list)
    parts: Parts = field(default_factory=Parts)
    told: Told = field(default_factory=Told)
    scans: int = 0


def clean_jpeg(data: bytes) -> tuple[bytes, tuple[int, int], Told]:
    """Return a JPEG without metadata, its width and height as stored, and what its Exif told.

    Orientation is the only thing that is kept of the Exif block. Whatever follows the end of the
    picture is cut off.

    Raises
    ------
    RangeError
        If it is cut off, damaged, or of a kind that pages do not show: tables, frame and scans
        must fit together, and each scan be long enough for its blocks.
    """
    read = _Read()
    at = len(SOI)
    while True:
        marker, at = _marker(data, at)
        if marker == EOI:
            break
        if marker in ALONE:
            continue
        end = at + struct.unpack_from(">H", data, at)[0] if at + 2 <= len(data) else len(data) + 1
        if end < at + 2 or end > len(data):
            raise RangeError(CUT)
        kept = _segment(read, marker, data[at + 2 : end])
        if marker == SOS:
            at = end
            end = _scan_end(data, at)
            read_scan(read.parts, kept[4:], data[at:end])
            kept += data[at:end]
        read.kept.append(kept)
        at = end
    if not read.scans or 0 in read.parts.size_px:
        raise RangeError(UNUSUAL)
    if read.told.orientation != UPRIGHT:
        read.kept.insert(0, _written(APP1, EXIF + only_orientation(read.told.orientation)))
    return SOI + b"".join(read.kept) + bytes((0xFF, EOI)), read.parts.size_px, read.told


def _marker(data: bytes, at: int) -> tuple[int, int]:
    """Return the marker at a place and where it ends; fill bytes before it are passed over."""
    if data[at : at + 1] != b"\xff":
        raise RangeError(CUT)
    while data[at : at + 1] == b"\xff":
        at += 1
    if at >= len(data):
        raise RangeError(CUT)
    return data[at], at + 1


def _segment(read: _Read, marker: int, payload: bytes) -> bytes:
    """Return a segment as it is kept, empty where it is left out, and note what it tells."""
    if marker == APP1 and payload.startswith(EXIF) and read.told == Told():
        read.told = told_by(payload[len(EXIF) :])
    if marker == APP0 and payload.startswith(b"JFIF\0"):
        return _written(APP0, payload[:12].ljust(12, b"\0") + b"\0\0")  # without its thumbnail
    if marker == APP14 and payload.startswith(b"Adobe"):
        return _written(APP14, payload[:12])  # tells how colours are written
    if marker in LEFT_OUT:
        return b""
    if marker not in NEEDED:
        raise RangeError(UNUSUAL)
    _note(read, marker, payload)
    return _written(marker, payload)


def _note(read: _Read, marker: int, payload: bytes) -> None:
    """Note what a segment that the picture needs tells of it."""
    if marker in FRAMES:
        if read.parts.size_px != (0, 0):
            raise RangeError(UNUSUAL)
        read_frame(read.parts, marker, payload)
        hold_size(*read.parts.size_px)
    elif marker == DQT:
        read_steps(read.parts, payload)
    elif marker == DHT:
        read_codes(read.parts, payload)
    elif marker == SOS:
        read.scans += 1
        if read.parts.size_px == (0, 0) or read.scans > MOST_SCANS:
            raise RangeError(UNUSUAL)


def _written(marker: int, payload: bytes) -> bytes:
    return bytes((0xFF, marker)) + struct.pack(">H", len(payload) + 2) + payload


def _scan_end(data: bytes, at: int) -> int:
    found = SCAN_END.search(data, at)
    if found is None:
        raise RangeError(CUT)
    return found.start()
