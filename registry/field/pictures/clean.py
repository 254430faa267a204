"""A photo as it came, made into one that can be kept: a known kind, small, and without metadata."""

from dataclasses import dataclass
from datetime import datetime

from registry.errors import RangeError
from registry.field.pictures.exif import SIDEWAYS
from registry.field.pictures.jpeg import clean_jpeg
from registry.field.pictures.png import SIGNATURE, clean_png
from registry.field.pictures.webp import clean_webp

MOST_BYTES = 3 * 2**20
"""A photo that the phone has shrunk is far smaller; one that comes as it was taken must fit too."""
ENDINGS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
"""Kinds that are kept, and the endings of their files' names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanPhoto:
    """A picture to keep; its sizes are those of the upright picture.

    ``taken`` is when its own metadata says that it was taken, without a zone = local there.
    """

    body: bytes
    media_type: str
    width_px: int
    height_px: int
    taken: datetime | None


def clean_photo(data: bytes) -> CleanPhoto:
    """Return a photo without position, camera, thumbnail or any other metadata but how it is held.

    What it is, is told by its bytes alone. The picture itself is not touched.

    Raises
    ------
    RangeError
        If it is too large, no photo, not whole, or of a kind that is not kept.
    """
    if len(data) > MOST_BYTES:
        raise RangeError(too_large(len(data)))
    kind = kind_of(data)
    cleaners = {"image/jpeg": clean_jpeg, "image/png": clean_png, "image/webp": clean_webp}
    if kind not in cleaners:
        raise RangeError("This file is no photo. A photo is a JPEG, PNG or WebP picture.")
    body, (width_px, height_px), told = cleaners[kind](data)
    if told.orientation in SIDEWAYS:
        width_px, height_px = height_px, width_px
    return CleanPhoto(
        body=body, media_type=kind, width_px=width_px, height_px=height_px, taken=told.taken
    )


def kind_of(data: bytes) -> str:
    """Return what a file is by its first bytes, empty if it is none of the kinds that are kept."""
    if data.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if data.startswith(SIGNATURE):
        return "image/png"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "image/webp"
    return ""


def too_large(size_bytes: int) -> str:
    """Return the sentence that refuses a photo of so many bytes."""
    return (
        f"The photo has {size_bytes / 2**20:.1f} MB; up to {MOST_BYTES / 2**20:.0f} MB are kept. "
        "Send it from the recording page, which shrinks it, or take it smaller."
    )
