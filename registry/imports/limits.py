"""How large an input may be; our estimates, so that a file cannot fill the memory or the disk."""

from dataclasses import dataclass

MB = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Sizes at which a file is refused.

    ``file_bytes`` bounds every file; a county of a million sites is near 200 MB as CSV.
    ``geojson_bytes`` is lower, since GeoJSON is read whole (about eight times its size in memory).
    ``unpacked_bytes`` bounds what a zip may unpack to; ``ratio`` how many times larger than packed
    it may get above ``ratio_from_bytes`` (text packs to a tenth; a zip bomb to a thousandth).
    ``cell_chars`` bounds one CSV cell: a quotation mark left open must not swallow the file.
    """

    file_bytes: int = 4000 * MB
    geojson_bytes: int = 400 * MB
    unpacked_bytes: int = 4000 * MB
    ratio: float = 200.0
    ratio_from_bytes: int = 10 * MB
    cell_chars: int = 131_072
    sheet_rows: int = 50_000
