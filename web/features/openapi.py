"""The API definition (OpenAPI 3.0.3): what a viewer may ask, collection by collection."""

from collections.abc import Sequence
from typing import Any

from registry.records.features import Collection
from registry.services.features import MOST
from web.features.asked import CQL2_TEXT, FILTER, USUAL
from web.features.documents import GEOJSON, JSON, SCHEMA, kind_of
from web.features.reference_systems import CRS84, SYSTEMS

type Document = dict[str, Any]

_FORM = {"style": "form", "explode": False}
_LINKS = {"type": "array", "items": {"$ref": "#/components/schemas/link"}}


def definition(known: Sequence[Collection], server: str) -> Document:
    """Return the API definition for the collections of a viewer."""
    paths: Document = {
        "/": _path("The landing page", "landing", JSON),
        "/conformance": _path("Standards that are followed", "conformance", JSON),
        "/api": _path("This document", "api", "application/vnd.oai.openapi+json;version=3.0"),
        "/collections": _path("The collections", "collections", JSON),
    }
    for one in known:
        at = f"/collections/{one.id}"
        paths[at] = _path(one.title, f"{one.id}-collection", JSON)
        paths[f"{at}/queryables"] = _path(
            f"What a filter may ask of: {one.title}", f"{one.id}-queryables", SCHEMA
        )
        paths[f"{at}/items"] = _path(
            one.says, f"{one.id}-items", GEOJSON, _items(one), f"{one.id}-page"
        )
        paths[f"{at}/items/{{featureId}}"] = _path(
            f"One of: {one.title}", f"{one.id}-item", GEOJSON, [_ID, _ref("crs")], one.id
        )
    return {
        "openapi": "3.0.3",
        "info": {"title": "Riserway", "version": "1.0", "description": _ABOUT},
        "servers": [{"url": server}],
        "security": [{"basic": []}, {"bearer": []}],
        "paths": paths,
        "components": {
            "securitySchemes": {
                "basic": {"type": "http", "scheme": "basic"},
                "bearer": {"type": "http", "scheme": "bearer"},
            },
            "parameters": _PARAMETERS,
            "schemas": _schemas(known),
        },
    }


_ABOUT = (
    "Read only. The user name is a sign-in, the password a personal token of it. What a sign-in "
    "may not see is not in this document either."
)
_ID = {"name": "featureId", "in": "path", "required": True, "schema": {"type": "string"}}


def _query(name: str, says: str, schema: Document, **more: Any) -> Document:  # noqa: ANN401
    return {
        "name": name,
        "in": "query",
        "required": False,
        "description": says,
        "schema": schema,
    } | more


_LISTED = {"type": "string", "enum": list(SYSTEMS), "default": CRS84}
_PARAMETERS = {
    "f": _query("f", "json or html", {"type": "string", "enum": ["json", "html"]}),
    "limit": _query(
        "limit",
        "Features on a page",
        {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL},
        **_FORM,
    ),
    "bbox": _query(
        "bbox",
        "Features in a box: lower corner, upper corner",
        {
            "type": "array",
            "oneOf": [{"minItems": 4, "maxItems": 4}, {"minItems": 6, "maxItems": 6}],
            "items": {"type": "number"},
        },
        **_FORM,
    ),
    "bbox-crs": _query("bbox-crs", "Reference system of bbox", _LISTED),
    "crs": _query("crs", "Reference system of the answer", _LISTED),
    "datetime": _query(
        "datetime",
        "A date, or a span of dates with .. for an open end",
        {"type": "string"},
        **_FORM,
    ),
    "filter": _query(
        "filter", "A condition on the queryables, as CQL2 text", {"type": "string"}, **_FORM
    ),
    "filter-lang": _query(
        "filter-lang",
        "The language of the filter",
        {"type": "string", "enum": [CQL2_TEXT], "default": CQL2_TEXT},
        **_FORM,
    ),
    "filter-crs": _query(
        "filter-crs", "The reference system of places in a filter; it has none", _LISTED, **_FORM
    ),
    "after": _query("after", "Id of the last feature of the page before", {"type": "string"}),
}


def _ref(name: str) -> Document:
    return {"$ref": f"#/components/parameters/{name}"}


def _items(one: Collection) -> list[Document]:
    names = ("limit", "bbox", "bbox-crs", "crs", "datetime", *FILTER, "after")
    shared = [_ref(name) for name in names]
    columns = [
        _query(column.name, column.says, kind_of(column), **_FORM)
        for column in one.columns
        if column.asked
    ]
    return shared + columns


def _path(
    says: str,
    operation: str,
    media_type: str,
    parameters: Sequence[Document] = (),
    schema: str = "",
) -> Document:
    shape: Document = {"$ref": f"#/components/schemas/{schema}"} if schema else {"type": "object"}
    return {
        "get": {
            "summary": says,
            "operationId": operation,
            "parameters": [*parameters, _ref("f")],
            "responses": {
                "200": {
                    "description": says,
                    "content": {
                        media_type: {"schema": shape},
                        "text/html": {"schema": {"type": "string"}},
                    },
                },
                "default": {
                    "description": "What is wrong, in words",
                    "content": {
                        "application/problem+json": {
                            "schema": {"$ref": "#/components/schemas/problem"}
                        }
                    },
                },
            },
        }
    }


def _schemas(known: Sequence[Collection]) -> Document:
    made: Document = {
        "link": {
            "type": "object",
            "required": ["href", "rel"],
            "properties": {name: {"type": "string"} for name in ("href", "rel", "type", "title")},
        },
        "point": {
            "type": "object",
            "nullable": True,
            "required": ["type", "coordinates"],
            "properties": {
                "type": {"type": "string", "enum": ["Point"]},
                "coordinates": {
                    "type": "array",
                    "minItems": 2,
                    "maxItems": 2,
                    "items": {"type": "number"},
                },
            },
        },
        "problem": {
            "type": "object",
            "required": ["title", "status", "code"],
            "properties": {
                "title": {"type": "string"},
                "status": {"type": "integer"},
                "detail": {"type": "string"},
                "code": {"type": "string"},
            },
        },
    }
    for one in known:
        made[one.id] = _feature(one)
        made[f"{one.id}-page"] = {
            "type": "object",
            "required": ["type", "features"],
            "properties": {
                "type": {"type": "string", "enum": ["FeatureCollection"]},
                "features": {
                    "type": "array",
                    "items": {"$ref": f"#/components/schemas/{one.id}"},
                },
                "links": _LINKS,
                "timeStamp": {"type": "string", "format": "date-time"},
                "numberReturned": {"type": "integer", "minimum": 0},
            },
        }
    return made


def _feature(one: Collection) -> Document:
    return {
        "type": "object",
        "required": ["type", "id", "geometry", "properties"],
        "properties": {
            "type": {"type": "string", "enum": ["Feature"]},
            "id": {"oneOf": [{"type": "integer"}, {"type": "string"}]},
            "geometry": {"$ref": "#/components/schemas/point"},
            "properties": {
                "type": "object",
                "properties": {
                    column.name: {**kind_of(column), "nullable": True, "description": column.says}
                    for column in one.columns
                },
            },
            "links": _LINKS,
        },
    }
