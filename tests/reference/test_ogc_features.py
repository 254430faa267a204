"""OGC API – Features, OGC 17-069 (Part 1) and 18-058 (Part 2), held to two judges from outside.

GDAL's OAPIF driver reads the collections as a desktop GIS does, and every document is checked
against the schemas that the OGC publishes with Part 1 (ogcapi-features-1-oas30.yaml).
"""

import json
from base64 import b64encode
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.error import HTTPError
from urllib.request import Request, urlopen

import jsonschema
import pyogrio
import pytest
import yaml
from sqlalchemy import select

from registry.records.features import COLLECTIONS
from registry.records.places import Box, Site
from registry.services.tokens import make_token
from registry.store import open_store, sites
from registry.store.tables import SystemRow
from tests.store.rows import NOW

if TYPE_CHECKING:
    from tests.demo import Demo
    from tests.server import Server

SCHEMAS = "ogcapi-features-1-oas30.yaml"


@pytest.fixture
def token(demo: "Demo") -> Callable[[str], str]:
    """Make a token of a sign-in of the county."""

    def made(name: str) -> str:
        store = open_store(demo.store_url)
        try:
            with store.session() as session:
                return make_token(session, name, "a test", NOW)[1]
        finally:
            store.close()

    return made


def known_sites(demo: "Demo") -> dict[str, Site]:
    """The sites that have a system, by their number, read past the API."""
    store = open_store(demo.store_url)
    try:
        with store.reading() as session:
            ids = set(session.scalars(select(SystemRow.site_id)))
            return {one.key: one for one in sites.sites(session, ids)}
    finally:
        store.close()


@pytest.fixture
def as_gis(token: Callable[[str], str]) -> Iterator[Callable[[str], None]]:
    """Let GDAL sign in by a token of a sign-in, or with a wrong one for ""."""

    def signs_in(name: str) -> None:
        login = f"{name}:{token(name)}" if name else "county:not the token"
        pyogrio.set_gdal_config_options({"GDAL_HTTP_USERPWD": login})

    yield signs_in
    pyogrio.set_gdal_config_options({"GDAL_HTTP_USERPWD": None})


def test_gdal_reads_collections_page_by_page_with_a_personal_token(
    demo: "Demo", server: "Server", as_gis: Callable[[str], None]
) -> None:
    """GDAL's OAPIF driver: every feature over many pages, a box, a column, the role's columns."""
    source, known = f"OAPIF:{server.url}/ogc/", known_sites(demo)
    as_gis("county")
    layers = {str(name) for name, _ in pyogrio.list_layers(source)}
    assert layers == {one.id for one in COLLECTIONS}
    systems = pyogrio.read_dataframe(source, layer="systems", PAGE_SIZE="23")
    assert set(systems.site) == set(known)
    assert not {"owner_name", "gate_code", "note"} & set(systems.columns)
    assert systems.crs.equals("OGC:CRS84")
    for site, place in zip(systems.site, systems.geometry, strict=True):
        at = known[site].lon_lat
        assert at is None or (place.x, place.y) == pytest.approx(at, abs=5.1e-8)

    places = [one.lon_lat for one in known.values() if one.lon_lat]
    west, east = sorted(one.lon for one in places)[20 : len(places) : 100][:2]
    south, north = min(one.lat for one in places), sorted(one.lat for one in places)[-20]
    box = Box(west, south, east, north)
    part = pyogrio.read_dataframe(
        source, layer="systems", bbox=(west, south, east, north), PAGE_SIZE="7"
    )
    inside = {key for key, one in known.items() if one.lon_lat and box.holds(one.lon_lat)}
    assert 7 < len(inside) < len(known)
    assert set(part.site) == inside

    mounds = pyogrio.read_dataframe(source, layer="systems", where="kind = 'mound'")
    assert sorted(mounds.site) == sorted(systems[systems.kind == "mound"].site)
    as_gis("dispatcher")
    assert {"owner_name", "note"} <= set(pyogrio.read_info(source, layer="systems")["fields"])
    as_gis("")
    with pytest.raises(pyogrio.errors.DataSourceError, match="401"):
        pyogrio.list_layers(source)


def test_every_document_holds_to_the_published_schemas(
    reference_data: Path, server: "Server", token: Callable[[str], str]
) -> None:
    """opengeospatial/ogcapi-features 94e814b, the schemas of OGC 17-069."""
    published = yaml.safe_load((reference_data / "data" / "formats" / SCHEMAS).read_text())
    basic = b64encode(f"county:{token('county')}".encode()).decode()

    def got(path: str) -> tuple[int, Any, Any]:
        login = {"Authorization": f"Basic {basic}"}
        asked = Request(f"{server.url}/ogc/{path}", headers=login)  # noqa: S310 - our own server
        try:
            with urlopen(asked) as answer:  # noqa: S310
                return answer.status, answer.headers, json.load(answer)
        except HTTPError as refused:
            with refused:
                return refused.code, refused.headers, json.load(refused)

    checks = [("", "landingPage"), ("conformance", "confClasses"), ("collections", "collections")]
    for one in COLLECTIONS:
        at = f"collections/{one.id}"
        checks += [(at, "collection"), (f"{at}/items?limit=5", "featureCollectionGeoJSON")]
        feature = got(f"{at}/items?limit=1")[2]["features"][0]
        checks.append((f"{at}/items/{feature['id']}", "featureGeoJSON"))
    for path, name in checks:
        status, _, document = got(path)
        assert status == 200, path
        held_to(published, name, document)
    for path in ("collections/systems/items?nothing=1", "collections/nothing", "nothing"):
        status, headers, document = got(path)
        assert status in {400, 404}
        assert headers["Content-Type"] == "application/problem+json"
        held_to(published, "exception", document)
    wrong = got("collections/systems/items?limit=1")[2] | {"features": "none"}
    with pytest.raises(jsonschema.ValidationError):
        held_to(published, "featureCollectionGeoJSON", wrong)


def held_to(published: dict[str, Any], name: str, document: Any) -> None:
    """Check a document against one schema of the published file."""
    held = {
        "$ref": f"#/components/schemas/{name}",
        "components": as_json_schema(published)["components"],
    }
    jsonschema.Draft4Validator(held).validate(document)


def as_json_schema(part: Any) -> Any:
    """Return OpenAPI 3.0's dialect as JSON Schema, draft 4: only ``nullable`` differs for us."""
    if isinstance(part, list):
        return [as_json_schema(one) for one in part]
    if not isinstance(part, dict):
        return part
    made = {name: as_json_schema(one) for name, one in part.items() if name != "nullable"}
    return {"anyOf": [made, {"type": "null"}]} if part.get("nullable") is True else made
