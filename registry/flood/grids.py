"""The offset between two vertical datums out of a regular grid, such as VERTCON's."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.errors import RangeError
from registry.records.places import LonLat


@dataclass(frozen=True, slots=True, eq=False)
class OffsetGrid:
    """Offsets from NGVD 29 to NAVD 88 on a grid of longitude and latitude.

    ``offset_ft`` has one row per latitude from the south, one column per longitude from the west;
    NaN where the grid holds nothing. An importer turns a file's own unit and sign into this.
    """

    west_deg: float
    south_deg: float
    step_lon_deg: float
    step_lat_deg: float
    offset_ft: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Refuse a grid that is none."""
        if self.offset_ft.ndim != 2 or min(self.offset_ft.shape, default=0) < 2:
            raise RangeError("an offset grid needs at least two rows and two columns")
        if not (self.step_lon_deg > 0 and self.step_lat_deg > 0):
            raise RangeError("an offset grid's steps must be above zero degrees")


def grid_offset_ft(grid: OffsetGrid, place: LonLat) -> float | None:
    """Return the offset from NGVD 29 to NAVD 88 at a place, None where the grid says nothing.

    Parameters
    ----------
    grid
        The grid.
    place
        The place.

    Returns
    -------
    float or None
        What is added to NGVD 29 to make NAVD 88, bilinear between the four nodes around. [ft]

    References
    ----------
    Bilinear interpolation in a grid cell, in any text on numerical methods.
    """
    column = (place.lon - grid.west_deg) / grid.step_lon_deg
    row = (place.lat - grid.south_deg) / grid.step_lat_deg
    rows, columns = grid.offset_ft.shape
    if not (0 <= column <= columns - 1 and 0 <= row <= rows - 1):
        return None
    i, j = min(int(row), rows - 2), min(int(column), columns - 2)
    v, u = row - i, column - j
    corners = grid.offset_ft[i : i + 2, j : j + 2]
    weights = np.outer((1 - v, v), (1 - u, u))
    counts = weights > 0  # a node without a value next to an exact one does not count
    offset = float(np.sum(corners[counts] * weights[counts]))
    return offset if np.isfinite(offset) else None
