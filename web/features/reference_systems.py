"""Coordinate reference systems of features: their names, the order of their axes, there and back.

OGC API – Features – Part 2 (OGC 18-058r1): longitude comes first in CRS84; EPSG:4326 has the
latitude first, as its definition says.
"""

import math

from registry.errors import RangeError
from registry.records.geodesy import LON_LAT_CRS, transform
from registry.records.places import Box, LonLat

CRS84 = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
LAT_LON = "http://www.opengis.net/def/crs/EPSG/0/4326"
MERCATOR = "http://www.opengis.net/def/crs/EPSG/0/3857"
SYSTEMS = (CRS84, LAT_LON, MERCATOR)
DECIMALS = {CRS84: 7, LAT_LON: 7, MERCATOR: 3}
"""Digits after the point: 1e-7 degree is about 1 cm."""

BOX = "bbox is the lower corner, then the upper corner: 4 numbers, or 6 with heights."


def known(name: str) -> str:
    """Return the reference system that an address names.

    Raises
    ------
    RangeError
        If it is not one of ``SYSTEMS``.
    """
    if name not in SYSTEMS:
        raise RangeError(
            f"Coordinates are not served in “{name[:80]}”. Known: {', '.join(SYSTEMS)}."
        )
    return name


def coordinates(places: list[LonLat], system: str) -> list[list[float]]:
    """Return places in a reference system, its first axis first.

    Degrees, metres in the Mercator projection.
    """
    digits = DECIMALS[system]
    if system == MERCATOR:
        lon, lat = [one.lon for one in places], [one.lat for one in places]
        east, north = transform(lon, lat, LON_LAT_CRS, "EPSG:3857")
        pairs = list(zip(east.tolist(), north.tolist(), strict=True))
    elif system == LAT_LON:
        pairs = [(one.lat, one.lon) for one in places]
    else:
        pairs = [(one.lon, one.lat) for one in places]
    return [[round(first, digits), round(second, digits)] for first, second in pairs]


def box_in(corners: list[float], system: str) -> Box:
    """Return a box given by its lower and upper corner in a reference system, in degrees.

    Raises
    ------
    RangeError
        If it is no box on the earth.
    """
    west, south, east, north = corners
    if system == LAT_LON:
        west, south, east, north = south, west, north, east
    elif system == MERCATOR:
        lon, lat = transform([west, east], [south, north], "EPSG:3857", LON_LAT_CRS)
        (west, east), (south, north) = lon.tolist(), lat.tolist()
    if not all(math.isfinite(one) for one in (west, south, east, north)) or south > north:
        raise RangeError(BOX)
    return Box(west, south, east, north)
