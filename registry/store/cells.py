"""Map cells: the tiles of zoom 12 in Web Mercator, each with a number, and their ancestors.

A square of the map that stands for many systems is an eighth of a tile; at zoom 9 that is a tile of
zoom 12, and below that one of its ancestors.
"""

import numpy as np
import numpy.typing as npt

from registry.records.places import LonLat

CELL_ZOOM = 12
"""About 7 km by 7 km in the middle latitudes."""
SQUARES_ACROSS = 8
"""Squares along one side of a tile."""
LAST_GRID_ZOOM = 9
"""The last zoom at which squares stand for systems; from zoom 10 on each has its own mark."""
_MOST_LAT = 85.0511


def cells_of(
    lon: npt.NDArray[np.float64], lat: npt.NDArray[np.float64], zoom: int = CELL_ZOOM
) -> npt.NDArray[np.int64]:
    """Return the number of the tile each place lies in, −1 where there is no place; shape (n,).

    The number is column · 2^zoom + row.
    """
    rows = 1 << zoom
    known = np.isfinite(lon) & np.isfinite(lat)
    x = (np.where(known, lon, 0.0) + 180.0) / 360.0
    turned = np.radians(np.clip(np.where(known, lat, 0.0), -_MOST_LAT, _MOST_LAT))
    y = (1 - np.arcsinh(np.tan(turned)) / np.pi) / 2
    column, row = (np.clip((one * rows).astype(np.int64), 0, rows - 1) for one in (x, y))
    return np.asarray(np.where(known, column * rows + row, -1))


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
