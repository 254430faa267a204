"""Which coordinate system a file is in, and where that system may be used."""

from dataclasses import dataclass

from registry.errors import FileError, RangeError

WGS84 = "EPSG:4326"


@dataclass(frozen=True, slots=True)
class Crs:
    """A coordinate system: its text, whether it is in degrees, and the area it is made for.

    ``area`` is west, south, east, north in degrees, None where the system names none.
    """

    text: str
    name: str
    is_degrees: bool
    area: tuple[float, float, float, float] | None


def crs_named(text: str) -> Crs:
    """Return the coordinate system that a code or text means.

    Raises
    ------
    FileError
        If it is not known, or is no system of places on the ground.
    """
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    try:
        found = CRS.from_user_input(text)
        flat = found.to_2d() if len(found.axis_info) > 2 else found
    except CRSError as wrong:
        raise FileError(
            f"“{text[:60]}” is no coordinate system that is known. Give a code, for example "
            "--crs EPSG:4326."
        ) from wrong
    if not (flat.is_geographic or flat.is_projected) or flat.is_geocentric:
        raise FileError(
            f"“{flat.name}” is no system of places on a map. Give a code, for example "
            "--crs EPSG:4326."
        )
    area = flat.area_of_use
    return Crs(
        text=text,
        name=flat.name,
        is_degrees=flat.is_geographic,
        area=None if area is None else (area.west, area.south, area.east, area.north),
    )


def lon_lat(x: list[float], y: list[float], crs: Crs) -> tuple[list[float], list[float]]:
    """Return longitudes and latitudes of coordinates, NaN where there are none."""
    if crs.text == WGS84:
        return x, y
    from registry.records.geodesy import to_lon_lat

    try:
        lon, lat = to_lon_lat(x, y, crs.text)
    except RangeError as wrong:
        raise FileError(f"The positions cannot be transformed: {wrong}.") from wrong
    return lon.tolist(), lat.tolist()
