"""Which tiles of the base map go along for a day: the way at a glance, and each site close by."""

import math
from collections.abc import Iterable, Iterator, Sequence

from registry.records.places import LonLat

GLANCE = range(6, 12)
"""Zooms of the whole way. The widest is the first that the base map has."""
CLOSE = range(12, 15)
"""Zooms round each site. The closest is the last that the base map has; maps enlarge it."""
MOST = 600
"""So many at most, some 20 MB of a well mapped county; common practice, no source."""

type Tile = tuple[int, int, int]


def tiles_of_day(way: Sequence[LonLat], sites: Sequence[LonLat], most: int = MOST) -> list[Tile]:
    """Return tiles as (zoom, column, row), the widest first.

    Round each site there are nine of each close zoom. Where there are too many, those of the
    closest zooms are left out, which a map makes up for by enlarging the others.
    Tiles are numbered as in OpenStreetMap's wiki, "Slippy map tilenames", from memory.
    """
    wanted: dict[Tile, None] = {}
    for zoom in GLANCE:
        wanted |= dict.fromkeys(_spanning(way or sites, zoom))
    for zoom in CLOSE:
        for site in sites:
            wanted |= dict.fromkeys(_round(site, zoom))
    return list(wanted)[:most]


def _spanning(places: Iterable[LonLat], zoom: int) -> Iterator[Tile]:
    """Yield the tiles of the rectangle round places."""
    found = [_tile(place, zoom) for place in places]
    if not found:
        return
    columns, rows = zip(*found, strict=True)
    for column in range(min(columns), max(columns) + 1):
        for row in range(min(rows), max(rows) + 1):
            yield zoom, column, row


def _round(place: LonLat, zoom: int) -> Iterator[Tile]:
    """Yield the tile of a place and those that touch it."""
    middle_column, middle_row = _tile(place, zoom)
    for column in range(middle_column - 1, middle_column + 2):
        for row in range(max(0, middle_row - 1), min(2**zoom, middle_row + 2)):
            yield zoom, column % 2**zoom, row


def _tile(place: LonLat, zoom: int) -> tuple[int, int]:
    side = 2**zoom
    column = int((place.lon + 180) / 360 * side)
    down = (1 - math.asinh(math.tan(math.radians(place.lat))) / math.pi) / 2
    return min(column, side - 1), min(max(int(down * side), 0), side - 1)
