"""The county map over 50,000 sites: few requests, all to the server, ready in a browser."""

import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import pytest

from tests.once import once
from tests.server import COMMAND
from tests.web.visit import Visit

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.server import Server

pytestmark = pytest.mark.long
MOST_REQUESTS = 40
"""The bar of this project."""
PASSWORD = "a password for tests"  # noqa: S105


@pytest.fixture
def store(run_folder: Path) -> Path:
    """A store of 50,000 invented sites with a sign-in for their county."""

    def make(folder: Path) -> None:
        folder.mkdir()
        url = f"sqlite:///{folder / 'county.sqlite'}"
        told = ["bench", "store", "--sites", "50000", "--keep", "--store", url]
        subprocess.run([COMMAND, *told], check=True, capture_output=True)
        subprocess.run(
            [COMMAND, "user", "add", "county", "--role", "county", "--store", url],
            input=f"{PASSWORD}\n",
            text=True,
            check=True,
        )

    return once(run_folder, "county-of-50000", make)


def test_the_map_of_fifty_thousand_sites_asks_little_and_shows_all(
    store: Path, serve: "Callable[..., Server]", new_page: "Callable[..., Page]"
) -> None:
    server = serve(f"sqlite:///{store / 'county.sqlite'}", None, "--on", "2026-06-15")
    page = new_page(server.url, viewport={"width": 1280, "height": 900})
    here = Visit(page)
    here.sign_in("county", PASSWORD)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    here.map_opened("/county/")
    sent = [one for one in asked if urlsplit(one).scheme == "http"]
    assert len(sent) <= MOST_REQUESTS
    said = page.locator("h1").inner_text()
    squares = page.evaluate(
        "document.getElementById('map').paperMap.queryRenderedFeatures({layers: ['squares']})"
        ".map((one) => [one.properties.n, one.properties.late])"
    )
    assert sum(n for n, _ in squares) <= 50_000
    assert sum(late for _, late in squares) <= int(said.split()[0].replace(",", ""))
    assert len(squares) > 10
    assert here.complaints == []
