"""Map libraries out of installed packages, served from our own host; none of their code is ours."""

import gzip
from functools import cache
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path

from flask import Blueprint, Response, abort, request, url_for

from registry.errors import StoreError

pages = Blueprint("library", __name__, url_prefix="/library")

FILES = {
    "maplibre-gl.js": ("maplibre", "srcjs/maplibre-gl.js", "text/javascript"),
    "maplibre-gl.css": ("maplibre", "srcjs/maplibre-gl.css", "text/css"),
}
"""Name in our address → package, path in the package, media type."""

A_YEAR_S = 365 * 24 * 3600


@pages.get("/<edition>/<name>")
def send(edition: str, name: str) -> Response:
    """Send one library file; its address holds the version, so it may be kept for good."""
    if name not in FILES or edition != _edition(name):
        abort(404)
    packed = "gzip" in request.headers.get("Accept-Encoding", "")
    answer = Response(_packed(name) if packed else _plain(name), mimetype=FILES[name][2])
    if packed:
        answer.headers["Content-Encoding"] = "gzip"
    answer.headers["Vary"] = "Accept-Encoding"
    answer.headers["Cache-Control"] = f"public, max-age={A_YEAR_S}, immutable"
    return answer


def library_url(name: str) -> str:
    """Return the address of a library file."""
    return url_for("library.send", edition=_edition(name), name=name)


@cache
def _edition(name: str) -> str:
    return version(FILES[name][0])


@cache
def _plain(name: str) -> bytes:
    package, path, _ = FILES[name]
    found = find_spec(package)  # finds without importing: the package itself is of no use here
    folders = found.submodule_search_locations if found else None
    if not folders:
        raise StoreError(f"The package {package} is not installed. Install the program again.")
    return (Path(next(iter(folders))) / path).read_bytes()


@cache
def _packed(name: str) -> bytes:
    return gzip.compress(_plain(name), 9)
