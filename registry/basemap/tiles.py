"""Reading the base map's tiles: all themes of one tile, joined."""

import gzip
import mmap
import zlib
from functools import lru_cache
from pathlib import Path
from typing import Any

from registry.basemap.revisions import current_folder
from registry.basemap.themes import THEMES
from registry.errors import RoadError

FILES_OPEN = 32
UNREADABLE = (OSError, ValueError, EOFError, IndexError, zlib.error)
"""What the libraries raise over a damaged file."""
LARGEST_ZOOM = 14


def tile(folder: Path, z: int, x: int, y: int) -> bytes | None:
    """Return one vector tile of the base map in use, not compressed; None where it is empty.

    Parameters
    ----------
    folder
        The folder of all road networks.
    z, x, y
        Zoom, column and row, as web maps count them (row 0 in the north).

    Raises
    ------
    RoadError
        If a file of the base map is damaged.
    """
    here = current_folder(folder)
    if here is None or not (0 <= z <= LARGEST_ZOOM and 0 <= x < 2**z and 0 <= y < 2**z):
        return None
    found = [
        _layer(here / "basemap" / f"{theme.name}.pmtiles", z, x, y)
        for theme in THEMES
        if theme.zooms[0] <= z <= theme.zooms[1]
    ]
    return b"".join(layer for layer in found if layer) or None  # layers may stand end to end


def _layer(path: Path, z: int, x: int, y: int) -> bytes:
    if not path.is_file():
        return b""
    from pmtiles.tile import MagicNumberNotFound, SpecVersionUnsupported

    try:
        packed: bytes | None = _reader(path).get(z, x, y)
        return gzip.decompress(packed) if packed else b""
    except (*UNREADABLE, MagicNumberNotFound, SpecVersionUnsupported) as wrong:
        raise RoadError(
            f"The base map in {path.parent} is damaged ({path.name}). Import the roads again."
        ) from wrong


@lru_cache(maxsize=FILES_OPEN)
def _reader(path: Path) -> Any:  # noqa: ANN401 - the library has no types
    """Return a reader of a file; a new import writes to a new path."""
    from pmtiles.reader import Reader

    with path.open("rb") as stream:
        content = mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ)
    return Reader(  # type: ignore[no-untyped-call] # the library has no types
        lambda offset, length: content[offset : offset + length]
    )
