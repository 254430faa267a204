"""Map cells: the tiles of zoom 14 in Web Mercator, each with a number, and their ancestors.

Cells are numbered along the Z-order curve: the bits of row and column take turns, which is the
tile's quadkey read in base 4 ("Bing Maps Tile System", Microsoft, section "Tile Coordinates and
Quadkeys", from memory). So the cells of any tile up to zoom 14 are one range of numbers, and
cutting two bits off a number gives the tile one zoom further out.
"""

import numpy as np
import numpy.typing as npt

from registry.records.places import LonLat

CELL_ZOOM = 14
"""About 1.7 km by 1.7 km in the middle latitudes."""
SQUARES_LEVEL = 3
"""A square of the map that stands for many systems is the tile so many zooms further in."""
LAST_GRID_ZOOM = 9
"""The last zoom at which squares stand for systems; from zoom 10 on each has its own mark."""
_MOST_LAT = 85.0511


def cells_of(lon: npt.NDArray[np.float64], lat: npt.NDArray[np.float64]) -> npt.NDArray[np.int64]:
    """Return the number of the cell each place lies in, −1 where there is no place; shape (n,)."""
    known = np.isfinite(lon) & np.isfinite(lat)
    columns, rows = tiles_of(np.where(known, lon, 0.0), np.where(known, lat, 0.0), CELL_ZOOM)
    return np.asarray(np.where(known, _spread(rows) << 1 | _spread(columns), -1))


def tiles_of(
    lon: npt.NDArray[np.float64], lat: npt.NDArray[np.float64], zoom: int
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return column and row of the tile that each place lies in, each of shape (n,)."""
    count = 1 << zoom
    x = (lon + 180.0) / 360.0
    turned = np.radians(np.clip(lat, -_MOST_LAT, _MOST_LAT))
    y = (1 - np.arcsinh(np.tan(turned)) / np.pi) / 2
    column, row = (np.clip((one * count).astype(np.int64), 0, count - 1) for one in (x, y))
    return column, row


def tile_at(place: LonLat, zoom: int) -> tuple[int, int, int]:
    """Return zoom, column and row of the tile that a place lies in."""
    column, row = tiles_of(np.array([place.lon]), np.array([place.lat]), zoom)
    return zoom, int(column[0]), int(row[0])


def cells_in(zoom: int, column: int, row: int) -> tuple[int, int]:
    """Return the first and the last number of the cells in a tile of zoom 14 or less."""
    number = int(_spread(np.array([row]))[0] << 1 | _spread(np.array([column]))[0])
    down = 2 * (CELL_ZOOM - zoom)
    return number << down, ((number + 1) << down) - 1


def squares_at(
    numbers: npt.NDArray[np.int64],
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return columns and rows of cells, or of their ancestors, by their numbers."""
    return _gathered(numbers), _gathered(numbers >> 1)


def _spread(values: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Return numbers below 2^16 with a bit that is 0 in front of each of theirs."""
    spread = values.astype(np.int64)
    for by, mask in ((8, 0x00FF00FF), (4, 0x0F0F0F0F), (2, 0x33333333), (1, 0x55555555)):
        spread = (spread | spread << by) & mask
    return spread


def _gathered(numbers: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Return every second bit of numbers, the last one first: what ``_spread`` came from."""
    found = numbers & 0x55555555
    for by, mask in ((1, 0x33333333), (2, 0x0F0F0F0F), (4, 0x00FF00FF), (8, 0x0000FFFF)):
        found = (found | found >> by) & mask
    return found


def centre_of(zoom: int, column: int, row: int) -> LonLat:
    """Return the middle of a tile."""
    n = 1 << zoom
    lat = np.degrees(np.arctan(np.sinh(np.pi * (1 - 2 * (row + 0.5) / n))))
    return LonLat((column + 0.5) / n * 360.0 - 180.0, float(lat))


def tile_box(zoom: int, column: int, row: int) -> tuple[float, float, float, float]:
    """Return west, south, east and north of a tile in degrees."""
    n = 1 << zoom
    edges = [np.degrees(np.arctan(np.sinh(np.pi * (1 - 2 * one / n)))) for one in (row, row + 1)]
    return (
        column / n * 360.0 - 180.0,
        float(edges[1]),
        (column + 1) / n * 360.0 - 180.0,
        float(edges[0]),
    )
