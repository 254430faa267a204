"""Lengths on the ellipsoid, places in other coordinate systems, and a plane around a place."""

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from registry.errors import RangeError
from registry.records.places import LonLat

if TYPE_CHECKING:
    from pyproj import Transformer

type FloatArray = NDArray[np.float64]

LON_LAT_CRS = "EPSG:4326"
WGS84_AXIS_M = 6_378_137.0
"""Semi-major axis of WGS 84, exact by definition. [m]"""
WGS84_FLATTENING = 1 / 298.257_223_563
"""Flattening of WGS 84, exact by definition. [-]"""


def geodesic_m(a: LonLat, b: LonLat) -> float:
    """Return the length of the shortest line between two places on the WGS 84 ellipsoid.

    Parameters
    ----------
    a, b
        The places.

    Returns
    -------
    float
        Length. [m]

    References
    ----------
    Karney, "Algorithms for geodesics", Journal of Geodesy 87, 2013, as PROJ implements it.
    """
    return float(geodesics_m([a.lon], [a.lat], [b.lon], [b.lat])[0])


def geodesics_m(
    lon_a_deg: ArrayLike, lat_a_deg: ArrayLike, lon_b_deg: ArrayLike, lat_b_deg: ArrayLike
) -> FloatArray:
    """Return the lengths of the shortest lines between pairs of places on the WGS 84 ellipsoid.

    Parameters
    ----------
    lon_a_deg, lat_a_deg
        First places, (n,). [deg]
    lon_b_deg, lat_b_deg
        Second places, (n,). [deg]

    Returns
    -------
    (n,) array
        Lengths. [m]

    References
    ----------
    As for `geodesic_m`.
    """
    from pyproj import Geod

    lengths = Geod(ellps="WGS84").inv(
        np.asarray(lon_a_deg, float),
        np.asarray(lat_a_deg, float),
        np.asarray(lon_b_deg, float),
        np.asarray(lat_b_deg, float),
    )[2]
    return np.asarray(lengths, np.float64)


def to_lon_lat(x: ArrayLike, y: ArrayLike, crs: str) -> tuple[FloatArray, FloatArray]:
    """Return longitudes and latitudes (EPSG:4326) of coordinates in another system.

    NAD 83 and WGS 84 differ by one to two metres in the United States; which of PROJ's
    transformations is used goes by the place, without grids from elsewhere.

    Parameters
    ----------
    x, y
        Eastings and northings, or longitudes and latitudes, (n,), in the system's own unit.
    crs
        The system: ``EPSG:2913``, ``ESRI:102632``, or its WKT.

    Returns
    -------
    tuple of (n,) arrays
        Longitude and latitude, NaN where a coordinate cannot be transformed. [deg]

    Raises
    ------
    RangeError
        If the system is not known.

    References
    ----------
    PROJ through pyproj, the coordinate order always x before y.
    """
    return transform(x, y, crs, LON_LAT_CRS)


def transform(
    x: ArrayLike, y: ArrayLike, from_crs: str, to_crs: str
) -> tuple[FloatArray, FloatArray]:
    """Return coordinates of one system in another.

    Parameters
    ----------
    x, y
        Coordinates, x (east) and y (north), (n,), in the first system's unit.
    from_crs, to_crs
        The systems: an authority's code or WKT.

    Returns
    -------
    tuple of (n,) arrays
        Coordinates, x and y, in the second system's unit; NaN where there is no transformation.

    Raises
    ------
    RangeError
        If a system is not known.

    References
    ----------
    PROJ through pyproj.
    """
    east, north = np.atleast_1d(np.asarray(x, float)), np.atleast_1d(np.asarray(y, float))
    out_x, out_y = _transformer(from_crs, to_crs).transform(east, north)
    out_x, out_y = np.asarray(out_x, np.float64), np.asarray(out_y, np.float64)
    is_known = np.isfinite(out_x) & np.isfinite(out_y)
    return np.where(is_known, out_x, np.nan), np.where(is_known, out_y, np.nan)


@lru_cache(maxsize=64)
def _transformer(from_crs: str, to_crs: str) -> "Transformer":
    """Return PROJ's transformation between two systems; making one takes some milliseconds."""
    from pyproj import Transformer
    from pyproj.exceptions import CRSError

    try:
        return Transformer.from_crs(from_crs, to_crs, always_xy=True)
    except CRSError as wrong:
        raise RangeError(
            f"no coordinate system “{from_crs}” or “{to_crs}” is known: give a code such as "
            "EPSG:4326, or the text of a .prj file"
        ) from wrong


def metres_per_degree(lat_deg: FloatArray | float) -> tuple[FloatArray, FloatArray]:
    """Return how long one degree of longitude and one of latitude are near a latitude.

    Parameters
    ----------
    lat_deg
        Latitude, (n,). [deg]

    Returns
    -------
    tuple of (n,) arrays
        Metres per degree of longitude, metres per degree of latitude, on WGS 84. [m/deg]

    References
    ----------
    Radii of curvature in the prime vertical and in the meridian, in any text on geodesy; tested
    against geodesics.
    """
    lat = np.radians(np.asarray(lat_deg, float))
    e2 = WGS84_FLATTENING * (2 - WGS84_FLATTENING)
    w2 = 1 - e2 * np.sin(lat) ** 2
    prime_vertical_m = WGS84_AXIS_M / np.sqrt(w2)
    meridian_m = WGS84_AXIS_M * (1 - e2) / w2**1.5
    return np.radians(prime_vertical_m * np.cos(lat)), np.radians(meridian_m)


@dataclass(frozen=True, slots=True)
class LocalPlane:
    """A plane that touches the ellipsoid at one place, for lengths of a few kilometres, in metres.

    A straight line between two longitudes and latitudes stays straight in it. Lengths within 5 km
    of the place are right to 0.1 % below 60° of latitude.
    """

    origin: LonLat

    def metres(self, lon_lat_deg: FloatArray) -> FloatArray:
        """Return metres east and north of the origin, (n, 2), from longitude, latitude, (n, 2)."""
        east_m, north_m = metres_per_degree(self.origin.lat)
        metres: FloatArray = (lon_lat_deg - np.asarray(self.origin)) * (east_m, north_m)
        return metres
