"""The documents of OGC API – Features as plain JSON values: landing page, collections, features."""

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Any

from registry.records.features import Collection, Column, ColumnKind, Feature
from registry.records.places import Box
from web.features.reference_systems import CRS84, SYSTEMS, coordinates

GEOJSON = "application/geo+json"
JSON = "application/json"
OPENAPI = "application/vnd.oai.openapi+json;version=3.0"
SCHEMA = "application/schema+json"
QUERYABLES = "http://www.opengis.net/def/rel/ogc/1.0/queryables"
CONFORMS_TO = (
    "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/core",
    "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/oas30",
    "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/geojson",
    "http://www.opengis.net/spec/ogcapi-features-2/1.0/conf/crs",
    "http://www.opengis.net/spec/ogcapi-features-3/1.0/conf/queryables",
    "http://www.opengis.net/spec/ogcapi-features-3/1.0/conf/queryables-query-parameters",
    "http://www.opengis.net/spec/ogcapi-features-3/1.0/conf/filter",
    "http://www.opengis.net/spec/ogcapi-features-3/1.0/conf/features-filter",
    "http://www.opengis.net/spec/cql2/1.0/conf/cql2-text",
    "http://www.opengis.net/spec/cql2/1.0/conf/basic-cql2",
    "http://www.opengis.net/spec/cql2/1.0/conf/advanced-comparison-operators",
)
"""OGC 17-069r4 (Part 1), 18-058r1 (Part 2), 19-079r2 (Part 3) and 21-065r2 (CQL2): the classes that
our tests hold us to; the names of the last two from memory."""

type Document = dict[str, Any]
type Address = Callable[..., str]
"""Gives the full address of an endpoint of the blueprint, by its name and arguments."""


def link(rel: str, href: str, media_type: str, title: str) -> Document:
    """Return a link (RFC 8288) as the standard writes it."""
    return {"href": href, "rel": rel, "type": media_type, "title": title}


def landing(address: Address) -> Document:
    """Return the landing page."""
    return {
        "title": "Riserway",
        "description": "Onsite wastewater systems, what is overdue, flood flags and visits, as "
        "your sign-in may see them.",
        "links": [
            link("self", address("landing"), JSON, "This document"),
            link("alternate", address("landing", f="html"), "text/html", "This document as HTML"),
            link("service-desc", address("api"), OPENAPI, "The API definition"),
            link("conformance", address("conformance"), JSON, "Standards that are followed"),
            link("data", address("collections"), JSON, "The collections"),
        ],
    }


def conformance() -> Document:
    """Return the conformance classes that are implemented."""
    return {"conformsTo": list(CONFORMS_TO)}


def collection(one: Collection, box: Box | None, address: Address) -> Document:
    """Return what is told of one collection."""
    where = {"collection_id": one.id}
    told: Document = {
        "id": one.id,
        "title": one.title,
        "description": one.says,
        "itemType": "feature",
        "crs": list(SYSTEMS),
        "storageCrs": CRS84,
        "links": [
            link("self", address("collection", **where), JSON, "This collection"),
            link("items", address("items", **where), GEOJSON, one.title),
            link(QUERYABLES, address("queryables", **where), SCHEMA, "What a filter may ask"),
            link("items", address("items", **where, f="html"), "text/html", one.title),
        ],
    }
    if box is not None:
        corners = [box.west, box.south, box.east, box.north]
        told["extent"] = {"spatial": {"bbox": [corners], "crs": CRS84}}
    return told


def queryables(one: Collection, address: Address) -> Document:
    """Return the columns that a filter may ask about, as a JSON Schema (OGC 19-079r2)."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": address("queryables", collection_id=one.id),
        "title": one.title,
        "type": "object",
        "properties": {
            column.name: {"title": column.says, **kind_of(column)}
            for column in one.columns
            if column.asked
        },
        "additionalProperties": False,
    }


def kind_of(column: Column) -> Document:
    """Return a column's kind in JSON Schema's words."""
    if column.kind is ColumnKind.DATE:
        return {"type": "string", "format": "date"}
    return {"type": column.kind.value}


def collections(known: Sequence[Collection], box: Box | None, address: Address) -> Document:
    """Return all collections of a viewer."""
    return {
        "links": [link("self", address("collections"), JSON, "This document")],
        "crs": list(SYSTEMS),
        "collections": [collection(one, box, address) for one in known],
    }


def features(
    found: Sequence[Feature],
    crs: str,
    links: list[Document],
    now: datetime,
) -> Document:
    """Return one page of features.

    How many there are in all is not told: counting them would cost more than the page.
    """
    return {
        "type": "FeatureCollection",
        "timeStamp": now.strftime("%Y-%m-%dT%H:%M:%SZ"),
        "numberReturned": len(found),
        "features": _features(found, crs),
        "links": links,
    }


def feature(found: Feature, crs: str, links: list[Document]) -> Document:
    """Return one feature."""
    return {**_features([found], crs)[0], "links": links}


def _features(found: Sequence[Feature], crs: str) -> list[Document]:
    placed = [one.lon_lat for one in found if one.lon_lat is not None]
    told = iter(coordinates(placed, crs) if placed else [])
    return [
        {
            "type": "Feature",
            "id": one.id,
            "geometry": None
            if one.lon_lat is None
            else {"type": "Point", "coordinates": next(told)},
            "properties": {
                name: value.isoformat() if isinstance(value, date) else value
                for name, value in one.values.items()
            },
        }
        for one in found
    ]
