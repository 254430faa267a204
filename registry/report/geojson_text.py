"""Rows with places as GeoJSON (RFC 7946): lon lat order, WGS 84, seven decimals, no crs member."""

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from registry.records.places import LonLat

DECIMALS = 7
"""1e-7 degree is about 1 cm: finer than any position we hold."""


def feature_collection(
    rows: Iterable[tuple[LonLat | None, Mapping[str, Any]]],
    credit: str = "",
    decimals: int | None = DECIMALS,
) -> str:
    """Return a FeatureCollection of points; a row without a place has a null geometry.

    ``decimals`` None keeps every digit, for a file that comes in again.
    """
    return "".join(_pieces(rows, credit, decimals))


def _pieces(
    rows: Iterable[tuple[LonLat | None, Mapping[str, Any]]], credit: str, decimals: int | None
) -> Iterator[str]:
    yield '{"type": "FeatureCollection",'
    if credit:
        yield f' "credit": {json.dumps(credit, ensure_ascii=False)},'
    yield ' "features": ['
    mark = "\n"
    for place, properties in rows:
        feature = {
            "type": "Feature",
            "geometry": None if place is None else point(place, decimals),
            "properties": properties,
        }
        yield mark + json.dumps(feature, ensure_ascii=False, default=str)
        mark = ",\n"
    yield "\n]}\n"


def point(place: LonLat, decimals: int | None = DECIMALS) -> dict[str, Any]:
    """Return a GeoJSON Point."""
    kept = (place.lon, place.lat)
    if decimals is not None:
        kept = (round(place.lon, decimals), round(place.lat, decimals))
    return {"type": "Point", "coordinates": list(kept)}
