"""A real browser for tests: the system's Chromium, driven by Playwright, held to one host."""

import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, BrowserContext, Page, Request, sync_playwright

NAMES = ("chromium", "chromium-browser")
FLAGS = (
    "--no-sandbox",  # its sandbox refuses root, which a build machine often is
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
)
INSIDE = {"data", "blob", "about", "file"}
"""Schemes that ask no host for anything."""


def program() -> str | None:
    """Return the path of the system's Chromium, None if there is none."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


def ready() -> bool:
    """Return True when Chromium is there and the program that drives it runs on this system."""
    driver = subprocess.run(
        [sys.executable, "-m", "playwright", "--version"], capture_output=True, check=False
    )
    return program() is not None and driver.returncode == 0


@contextmanager
def launched(path: str) -> Iterator[Browser]:
    """Yield a browser without a window."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        try:
            yield browser
        finally:
            browser.close()


@dataclass
class Traffic:
    """Every request of a browser context, and which of them went to another host."""

    host: str
    addresses: list[str] = field(default_factory=list)

    def saw(self, request: Request) -> None:
        """Note a request."""
        self.addresses.append(request.url)

    @property
    def strangers(self) -> list[str]:
        """The addresses that are neither inside the page nor on the server's own host."""
        return [
            address
            for address in self.addresses
            if (parts := urlsplit(address)).scheme not in INSIDE and parts.netloc != self.host
        ]


@contextmanager
def watched_context(browser: Browser, base_url: str, **options: Any) -> Iterator[BrowserContext]:
    """Yield a browser context that may talk to one server; complain if it asked another host.

    Parameters
    ----------
    browser
        The browser that opens it.
    base_url
        Where the server is; empty for a stand-alone file, which may ask nobody.
    options
        Passed to the context: viewport, colour scheme, offline, …
    """
    traffic = Traffic(urlsplit(base_url).netloc)
    context = browser.new_context(
        base_url=base_url or None, locale="en-US", timezone_id="America/Chicago", **options
    )
    context.on("request", traffic.saw)
    try:
        yield context
    finally:
        context.close()
    assert not traffic.strangers, f"The page asked other hosts: {traffic.strangers}"


def wcag_violations(page: Page) -> list[str]:
    """Return what axe-core finds against WCAG 2.2 A and AA, one line for each element."""
    rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    return [
        f"{one['id']}: {one['help']}: {node['html']}"
        for one in violations(page, "tag", rules)
        for node in one["nodes"]
    ]


def violations(page: Page, by: str, names: Sequence[str]) -> list[dict[str, Any]]:
    """Return the rules of axe-core that a page breaks, chosen by "tag" or by "rule".

    Every element is checked; those that pass are not described one by one, which takes as long as
    the checks.
    """
    from axe_playwright_python.sync_playwright import Axe

    asked: dict[str, Any] = {"runOnly": {"type": by, "values": list(names)}}
    found = Axe().run(page, options={**asked, "resultTypes": ["violations"]}).response
    broken: list[dict[str, Any]] = found["violations"]
    return broken


if __name__ == "__main__":
    sys.exit(0 if ready() else 1)
