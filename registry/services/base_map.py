"""The base map in use: its tiles, its credit, and a simplified copy for files."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from registry.basemap.revisions import current_network
from registry.basemap.simplified import simplified_roads_geojson
from registry.basemap.tiles import tile
from registry.records.places import Box


@dataclass(frozen=True, slots=True)
class BaseMap:
    """What a map needs to know; ``revision`` changes whenever the tiles may have."""

    revision: str
    credit: str
    box: Box


def base_map(folder: Path) -> BaseMap | None:
    """Return the base map in use, None where no roads were imported.

    Parameters
    ----------
    folder
        The folder beside the store.
    """
    network = current_network(folder / "roads")
    return None if network is None else BaseMap(network.revision, network.credit, network.box)


def base_tile(folder: Path, z: int, x: int, y: int) -> bytes | None:
    """Return one vector tile, None where it is empty."""
    return tile(folder / "roads", z, x, y)


def simplified_base(folder: Path) -> Mapping[str, Any] | None:
    """Return simplified roads and water as GeoJSON for a stand-alone map, None without roads."""
    return simplified_roads_geojson(folder / "roads")
