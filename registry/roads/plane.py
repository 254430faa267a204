"""A plane laid at the middle of some positions, in which short lengths are metres."""

from pyproj import Transformer

from registry.roads.arrays import Floats


def plane_of(lon_lat_deg: Floats) -> Transformer:
    """Return the way from degrees to metres in a plane, equidistant from the middle of (n, 2)."""
    lon, lat = (lon_lat_deg.min(axis=0) + lon_lat_deg.max(axis=0)) / 2
    plane = f"+proj=aeqd +lat_0={lat:.6f} +lon_0={lon:.6f} +ellps=WGS84 +units=m"
    return Transformer.from_crs("EPSG:4326", plane, always_xy=True)
