"""A store into which nothing was imported yet: every page says so, none fails."""

from pathlib import Path

import pytest
from flask.testing import FlaskClient

from registry.config import Settings
from registry.records.changes import Role, Viewer
from registry.services.users import add_user
from registry.store import open_store
from registry.wiring import Parts
from tests.pages.visitors import DAY, sign_in

SECRET = "a password for tests"  # noqa: S105


@pytest.fixture
def alone(sqlite_url: str, tmp_path: Path) -> FlaskClient:
    """The administrator of an empty registry without roads."""
    from web.app import create_app

    parts = Parts(Settings(sqlite_url, tmp_path / "folder"), open_store(sqlite_url))
    with parts.store.session() as session:
        add_user(session, Viewer(name="first", role=Role.ADMINISTRATOR), SECRET, parts.now())
    client = create_app(parts, secret="for tests only").test_client()  # noqa: S106
    assert sign_in(client, "first", SECRET).status_code == 302
    return client


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/county/", "Nothing is overdue here"),
        ("/due/", "Nothing is due"),
        (f"/day/{DAY}", "import a crew first"),
        ("/sites/1", "There is no such site"),
        (f"/gate/1/{DAY}", "There is no such site"),
        (f"/files/day/{DAY}.gpx", "import a crew first"),
    ],
)
def test_a_page_says_that_nothing_is_there(alone: FlaskClient, path: str, said: str) -> None:
    answer = alone.get(path)
    assert answer.status_code in {200, 404}
    assert said in answer.text.replace("&#39;", "'")


@pytest.mark.parametrize(
    "path",
    [
        *(f"/files/overdue.{ending}" for ending in ("csv", "geojson", "gpkg", "gpx", "html")),
        *(f"/files/sites.{ending}" for ending in ("csv", "geojson", "gpkg")),
        "/tiles/style.json",
        "/tiles/systems/8/28/91.pbf",
    ],
)
def test_files_and_tiles_are_empty_not_broken(alone: FlaskClient, path: str) -> None:
    assert alone.get(path).status_code in {200, 204}
