"""A grid of vertical datum offsets in the GTX form, as VERTCON's grids are handed out."""

import struct
from pathlib import Path

import numpy as np

from registry.errors import FileError, RangeError
from registry.flood.grids import OffsetGrid
from registry.units import M_PER_FT

HEADER = struct.Struct(">4d2i")
NOTHING = -88.8888
"""What a GTX file holds where it has no value."""
LARGEST_BYTES = 64 * 2**20


def read_offset_grid(path: Path) -> OffsetGrid:
    """Return the offsets from NGVD 29 to NAVD 88 that a .gtx file holds.

    Raises
    ------
    FileError
        If the file is not such a grid.
    """
    return offset_grid(path.name, read_grid_file(path))


def read_grid_file(path: Path) -> bytes:
    """Return a grid's file, refused where it cannot be read or is too large."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise FileError(f"{path.name} is larger than a grid of offsets can be (64 MB).")
        return path.read_bytes()
    except OSError as wrong:
        raise FileError(f"{path.name} cannot be read: {wrong.strerror}.") from wrong


def offset_grid(name: str, body: bytes) -> OffsetGrid:
    """Return the offsets from NGVD 29 to NAVD 88 out of a file's bytes.

    The file holds metres, row by row from the south, each from the west: big-endian, a header of
    south, west, step of latitude, step of longitude [deg], rows, columns, then 4-byte floats.

    Raises
    ------
    FileError
        If the file is not such a grid; ``name`` is what it is called in the sentence.

    References
    ----------
    NOAA, VDatum, "GTX" grids, in the form that GDAL's driver GTX and PROJ's ``vgridshift`` read.
    """
    if len(body) < HEADER.size:
        raise FileError(f"{name} is no .gtx grid: it is too short.")
    south, west, step_lat, step_lon, rows, columns = HEADER.unpack_from(body)
    if not (1 < rows < 2**16 and 1 < columns < 2**16):
        raise FileError(f"{name} is no .gtx grid: its size makes no sense.")
    if len(body) != HEADER.size + 4 * rows * columns:
        raise FileError(f"{name} is no whole .gtx grid: {rows} × {columns} values are told.")
    metres = np.frombuffer(body, dtype=">f4", offset=HEADER.size).reshape(rows, columns)
    known = np.abs(metres - NOTHING) > 1e-3
    try:
        return OffsetGrid(
            west_deg=west - 360.0 if west > 180.0 else west,
            south_deg=south,
            step_lon_deg=step_lon,
            step_lat_deg=step_lat,
            offset_ft=np.where(known, metres.astype(np.float64) / M_PER_FT, np.nan),
        )
    except RangeError as wrong:
        raise FileError(f"{name}: {wrong}.") from wrong
