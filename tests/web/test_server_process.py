"""The server as its own process: it answers a browser, on both stores, and ends when told."""

import os

import pytest
from playwright.sync_api import expect

from tests.server import served


@pytest.mark.browser
def test_the_server_shows_the_sign_in_page_to_a_browser(store_url: str, serve, new_page):
    server = serve(store_url)
    page = new_page(server.url)
    page.goto("/")
    expect(page.locator("input[type=password]")).to_have_count(1)


def test_the_server_is_gone_when_a_test_is_over(sqlite_url: str, tmp_path):
    with served(sqlite_url, tmp_path / "server") as server:
        os.kill(server.process, 0)
    with pytest.raises(ProcessLookupError):
        os.kill(server.process, 0)
