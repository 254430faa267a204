"""The small picture that a phone sends along with a photo, so that pages open quickly."""

from base64 import b64decode

from registry.errors import RangeError
from registry.field.pictures.clean import CleanPhoto, clean_photo

LONGEST_PX = 480
MOST_BYTES = 60_000


def preview_of(said: object, photo: CleanPhoto) -> bytes | None:
    """Return a preview without metadata, None where there is none that fits its photo.

    Parameters
    ----------
    said
        The picture's file in base64 (RFC 4648, section 4), as it came.
    photo
        The photo that it belongs to: the preview is smaller, and its sides stand in the same
        proportion, to a pixel.
    """
    if not isinstance(said, str) or not 0 < len(said) <= MOST_BYTES * 4 // 3:
        return None
    try:
        small = clean_photo(b64decode(said, validate=True))
    except (ValueError, RangeError):
        return None
    apart_px2 = abs(small.width_px * photo.height_px - small.height_px * photo.width_px)
    fits = apart_px2 <= photo.width_px + photo.height_px
    longest_px = min(LONGEST_PX, max(photo.width_px, photo.height_px))
    return small.body if fits and max(small.width_px, small.height_px) <= longest_px else None
