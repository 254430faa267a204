"""Geometries of GeoJSON (RFC 7946), checked before they are built: what is wrong is said."""

import math
from dataclasses import dataclass
from typing import Any

import shapely

KINDS = {
    "Point": 0,
    "MultiPoint": 1,
    "LineString": 1,
    "MultiLineString": 2,
    "Polygon": 2,
    "MultiPolygon": 3,
}
"""Kind → how deep its positions are nested."""


@dataclass(frozen=True, slots=True)
class Built:
    """A geometry; ``fault`` says why there is none, ``repair`` what was mended as certain."""

    geometry: Any = None
    fault: str = ""
    repair: str = ""


class _FaultError(ValueError):
    """Why a geometry cannot be built."""


def build(given: object) -> Built:
    """Return the geometry of a GeoJSON object; None and nothing wrong for a null or empty one.

    One repair is certain and made: a ring whose last position differs from its first is closed.
    """
    if given is None:
        return Built()
    repairs: list[str] = []
    try:
        geometry = _geometry(given, repairs)
    except _FaultError as wrong:
        return Built(fault=str(wrong))
    if geometry.is_empty:
        return Built()
    return Built(geometry, repair=repairs[0] if repairs else "")


def _geometry(given: object, repairs: list[str], depth: int = 0) -> Any:  # noqa: ANN401 - shapely
    if not isinstance(given, dict):
        raise _FaultError("the geometry is not an object")
    kind = given.get("type")
    if kind == "GeometryCollection":
        parts = given.get("geometries")
        if not isinstance(parts, list) or depth > 3:
            raise _FaultError("the geometry collection holds no list of geometries")
        return shapely.GeometryCollection([_geometry(one, repairs, depth + 1) for one in parts])
    if not isinstance(kind, str) or kind not in KINDS:
        raise _FaultError(f"the geometry's type is {kind!r}, which GeoJSON does not know")
    if "coordinates" not in given:
        raise _FaultError(f"the {kind} has no coordinates")
    coordinates = given["coordinates"]
    if coordinates == []:
        return shapely.from_wkt(f"{kind.upper()} EMPTY")
    positions = _nested(coordinates, KINDS[kind], kind)
    return _BUILDERS[kind](_checked(kind, positions, repairs))


def _checked(kind: str, positions: Any, repairs: list[str]) -> Any:  # noqa: ANN401 - nested lists
    """Return positions whose rings are closed and whose lines are lines."""
    if kind == "Polygon":
        return [_ring(one, repairs) for one in positions]
    if kind == "MultiPolygon":
        return [[_ring(one, repairs) for one in part] for part in positions]
    lines = {"LineString": [positions], "MultiLineString": positions}.get(kind, [])
    if any(len(line) < 2 for line in lines):
        raise _FaultError("a line has fewer than two positions")
    return positions


def _nested(given: object, depth: int, kind: str) -> Any:  # noqa: ANN401 - nested lists
    """Return nested positions of two numbers each, or say what is wrong with them."""
    if not isinstance(given, list):
        raise _FaultError(f"the coordinates of the {kind} are not nested as its type asks")
    if depth:
        return [_nested(one, depth - 1, kind) for one in given]
    if any(isinstance(one, list) for one in given):
        raise _FaultError(f"the coordinates of the {kind} are not nested as its type asks")
    if len(given) < 2:
        raise _FaultError("a position has fewer than two numbers")
    for one in given:
        if isinstance(one, bool) or not isinstance(one, int | float) or not math.isfinite(one):
            raise _FaultError(f"a coordinate is {one!r}, not a number")
    return (float(given[0]), float(given[1]))


def _ring(positions: list[Any], repairs: list[str]) -> list[Any]:
    if len(positions) >= 3 and positions[0] != positions[-1]:
        repairs.append("a ring that was left open is closed")
        positions = [*positions, positions[0]]
    if len(positions) < 4:
        raise _FaultError("a ring has fewer than four positions")
    return positions


_BUILDERS: dict[str, Any] = {
    "Point": shapely.Point,
    "MultiPoint": shapely.MultiPoint,
    "LineString": shapely.LineString,
    "MultiLineString": shapely.MultiLineString,
    "Polygon": lambda rings: shapely.Polygon(rings[0], rings[1:]),
    "MultiPolygon": lambda parts: shapely.MultiPolygon([(one[0], one[1:]) for one in parts]),
}
