"""OGC API – Features under /ogc/: read only, by token, with the columns of the role."""

import json
from typing import cast

from flask import Blueprint, Response, abort, g, render_template, request, url_for
from werkzeug.exceptions import HTTPException, NotFound

from registry.errors import RangeError, RegistryError
from registry.records.changes import Viewer
from registry.records.tokens import FEATURES
from registry.services.features import (
    collection_for,
    collections_for,
    extent_for,
    features_page,
    one_feature,
)
from registry.services.viewer_zone import zone_of
from web.context import parts, reading, today
from web.door import reader
from web.features import documents, problems
from web.features.asked import crs_in, items_in, only
from web.features.documents import GEOJSON, JSON, OPENAPI, SCHEMA, Document, link
from web.features.openapi import definition

pages = Blueprint("features", __name__, url_prefix="/ogc")
FORMATS = {"json", "html"}


@pages.before_request
def let_in() -> Response | None:
    """Ask for a name and a token unless the request brings one that opens."""
    found = reader(FEATURES)
    if found is None:
        return problems.problem(
            401, "Give a sign-in's name and, as the password, a personal token of it."
        )
    g.reader = found
    if request.args.get("f", "json") not in FORMATS:
        raise RangeError("f is json or html.")
    return None


@pages.before_app_request
def nowhere() -> Response | None:
    """Answer a program in its own format where no address of ours fits, as with odd signs in it."""
    below = request.path.startswith("/ogc/")
    if below and isinstance(request.routing_exception, NotFound):
        return problems.of_status(404)
    return None


@pages.errorhandler(RegistryError)
def _ours(error: RegistryError) -> Response:
    return problems.of_error(error)


@pages.errorhandler(HTTPException)
def _http(error: HTTPException) -> Response | HTTPException:
    return problems.of_status(error.code) if error.code and error.code >= 400 else error


@pages.get("/")
def landing() -> Response:
    """Send the landing page."""
    only(request.args, ("f",))
    collections_for(_viewer())
    document = documents.landing(_address)
    return _sent(document, title="Map features", says=document["description"])


@pages.get("/conformance")
def conformance() -> Response:
    """Send the standards that are followed."""
    only(request.args, ("f",))
    collections_for(_viewer())
    return _sent(documents.conformance(), title="Standards that are followed")


@pages.get("/api")
def api() -> Response:
    """Send the API definition."""
    only(request.args, ("f",))
    made = definition(collections_for(_viewer()), _address("landing").rstrip("/"))
    return _sent(made, OPENAPI, title="The API definition", says=made["info"]["description"])


@pages.get("/collections")
def collections() -> Response:
    """Send the collections that the reader's role may read."""
    only(request.args, ("f",))
    known = collections_for(_viewer())
    with reading() as session:
        box = extent_for(session, _viewer())
    return _sent(documents.collections(known, box, _address), title="Collections")


@pages.get("/collections/<collection_id>")
def collection(collection_id: str) -> Response:
    """Send what is told of one collection."""
    only(request.args, ("f",))
    known = collection_for(_viewer(), collection_id)
    with reading() as session:
        box = extent_for(session, _viewer())
    document = documents.collection(known, box, _address)
    return _sent(document, title=known.title, says=known.says)


@pages.get("/collections/<collection_id>/queryables")
def queryables(collection_id: str) -> Response:
    """Send the columns that a filter may ask about."""
    only(request.args, ("f",))
    known = collection_for(_viewer(), collection_id)
    document = documents.queryables(known, _address)
    return _sent(document, SCHEMA, title=f"{known.title}: what a filter may ask")


@pages.get("/collections/<collection_id>/items")
def items(collection_id: str) -> Response:
    """Send one page of features; its link ``next`` leads on from the last one's id."""
    known = collection_for(_viewer(), collection_id)
    asked = items_in(request.args, known)
    with reading() as session:
        on_date = today(zone_of(session, _viewer()))
        page = features_page(session, _viewer(), known, asked.query, on_date)
    here = {**request.args.to_dict(), "collection_id": known.id}
    links = [link("self", _address("items", **here), GEOJSON, "This document")]
    links.append(
        link("alternate", _address("items", **here | {"f": "html"}), "text/html", "As HTML")
    )
    links.append(
        link("collection", _address("collection", collection_id=known.id), JSON, known.title)
    )
    if page.more:
        further = here | {"after": str(page.features[-1].id)}
        links.append(link("next", _address("items", **further), GEOJSON, "The next page"))
    made = documents.features(page.features, asked.crs, links, parts().now())
    return _sent(made, GEOJSON, asked.crs, title=known.title, says=known.says)


@pages.get("/collections/<collection_id>/items/<path:feature_id>")
def item(collection_id: str, feature_id: str) -> Response:
    """Send one feature."""
    known = collection_for(_viewer(), collection_id)
    only(request.args, ("crs", "f"))
    crs = crs_in(request.args)
    with reading() as session:
        on_date = today(zone_of(session, _viewer()))
        found = one_feature(session, _viewer(), known, feature_id, on_date)
    here = {"collection_id": known.id, "feature_id": feature_id, **request.args.to_dict()}
    links = [
        link("self", _address("item", **here), GEOJSON, "This document"),
        link("alternate", _address("item", **here | {"f": "html"}), "text/html", "As HTML"),
        link("collection", _address("collection", collection_id=known.id), JSON, known.title),
    ]
    made = documents.feature(found, crs, links)
    return _sent(made, GEOJSON, crs, title=f"{known.title}: {found.id}", says=known.says)


@pages.get("/<path:elsewhere>")
def nothing(elsewhere: str) -> Response:  # noqa: ARG001 - whatever it is
    """Say that there is nothing at any other address."""
    abort(404)


def _viewer() -> Viewer:
    return cast("Viewer", g.reader)


def _address(endpoint: str, **values: str) -> str:
    return url_for(f"features.{endpoint}", _external=True, **values)


def _sent(
    document: Document, media_type: str = JSON, crs: str = "", *, title: str, says: str = ""
) -> Response:
    asked = request.args.get("f") or request.accept_mimetypes.best_match(
        [JSON, GEOJSON, SCHEMA, OPENAPI.partition(";")[0], "text/html"], JSON
    )
    if asked in {"html", "text/html"}:
        page = render_template("features.html", document=document, title=title, says=says)
        answer = Response(page, mimetype="text/html")
    else:
        body = json.dumps(document, ensure_ascii=False, separators=(",", ":"))
        answer = Response(body, content_type=media_type)
    answer.headers["Vary"] = "Accept, Authorization, Cookie"
    if crs:
        answer.headers["Content-Crs"] = f"<{crs}>"
    return answer
