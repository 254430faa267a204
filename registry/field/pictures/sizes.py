"""How large a picture may be: a small file can unfold into one that fills a phone's memory."""

from registry.errors import RangeError

LONGEST_PX = 12_000
MOST_PX = 50_000_000


def hold_size(width_px: int, height_px: int) -> None:
    """Refuse a picture without pixels or with too many, before anybody unfolds it.

    Raises
    ------
    RangeError
        If it is.
    """
    if not width_px * height_px or max(width_px, height_px) > LONGEST_PX:
        raise RangeError(
            f"The photo is {width_px:,} × {height_px:,} pixels. A side has 1 to {LONGEST_PX:,}."
        )
    if width_px * height_px > MOST_PX:
        raise RangeError(
            f"The photo is {width_px:,} × {height_px:,} pixels, more than {MOST_PX:,}. Shrink it."
        )
