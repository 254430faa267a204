"""Points with properties as one layer of a vector tile."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from registry.records.places import LonLat

EXTENT = 4096
"""Units along a tile's side."""


def encode(
    layer: str, points: Sequence[tuple[LonLat, Mapping[str, Any]]], z: int, x: int, y: int
) -> bytes:
    """Return a tile with one layer of points, empty bytes where there is none.

    Points may lie outside the tile: a mark at its edge is drawn whole by both neighbours.
    """
    if not points:
        return b""
    import mapbox_vector_tile
    import shapely

    lon, lat = np.asarray([place for place, _ in points], dtype=float).T
    across = ((lon + 180) / 360 * 2**z - x) * EXTENT
    turned = np.arcsinh(np.tan(np.radians(lat)))
    down = ((1 - turned / np.pi) / 2 * 2**z - y) * EXTENT
    places = shapely.points(np.rint(across), np.rint(down))
    features = [
        {"geometry": place, "properties": dict(properties)}
        for place, (_, properties) in zip(places, points, strict=True)
    ]
    return bytes(
        mapbox_vector_tile.encode(
            {"name": layer, "features": features},
            default_options={"extents": EXTENT, "y_coord_down": True},
        )
    )
