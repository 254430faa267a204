"""Photos as phones write them, made by Pillow, a library that is not ours and reads them too."""

import io
import struct
from typing import Any

import numpy as np
from PIL import ExifTags, Image

PLANTED = b"planted-7731"
WIDE = (64, 48)


def picture(size: tuple[int, int] = WIDE) -> Image.Image:
    """A picture of which no part is like another."""
    width, height = size
    there = np.arange(width * height * 3, dtype=np.uint32).reshape(height, width, 3)
    return Image.fromarray((there * 2654435761 >> 24).astype(np.uint8))


def exif(orientation: int = 1, taken: str = "2026:06:15 14:05:00", offset: str = "") -> bytes:
    """An Exif block with position, camera, owner and a comment."""
    block = Image.Exif()
    block[ExifTags.Base.Orientation] = orientation
    block[ExifTags.Base.Make] = PLANTED.decode()
    block[ExifTags.Base.Artist] = PLANTED.decode()
    inner: dict[int, Any] = {ExifTags.Base.UserComment: PLANTED}
    if taken:
        inner[ExifTags.Base.DateTimeOriginal] = taken
    if offset:
        inner[ExifTags.Base.OffsetTimeOriginal] = offset
    block.get_ifd(ExifTags.IFD.Exif).update(inner)
    block.get_ifd(ExifTags.IFD.GPSInfo).update(
        {
            ExifTags.GPS.GPSLatitudeRef: "N",
            ExifTags.GPS.GPSLatitude: (44.0, 58.0, 12.0),
            ExifTags.GPS.GPSMapDatum: PLANTED.decode(),
        }
    )
    return block.tobytes()


def shot(kind: str = "JPEG", size: tuple[int, int] = WIDE, **options: Any) -> bytes:
    """A photo's file."""
    out = io.BytesIO()
    picture(size).save(out, kind, **options)
    return out.getvalue()


def opened(body: bytes) -> Image.Image:
    """A file as Pillow reads it, whole."""
    found: Image.Image = Image.open(io.BytesIO(body))
    found.load()
    return found


def same_pixels(one: bytes, other: bytes) -> bool:
    """Whether two files show the same, to the last bit."""
    return opened(one).convert("RGBA").tobytes() == opened(other).convert("RGBA").tobytes()


def jpeg_segment(marker: int, payload: bytes) -> bytes:
    """A segment of a JPEG: ITU-T T.81, B.1.1.4."""
    return bytes((0xFF, marker)) + struct.pack(">H", len(payload) + 2) + payload


def with_segments(body: bytes, *segments: bytes) -> bytes:
    """A JPEG with more segments right behind its start."""
    return body[:2] + b"".join(segments) + body[2:]
