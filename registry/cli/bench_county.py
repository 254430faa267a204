"""The county's pages over a filled store, in a real browser: from the request to map and list."""

import tempfile
import time
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

from registry.cli.options import say
from registry.cli.served import served, spread_of
from registry.errors import ConfigError

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PAGES = ("/county/", "/numbers/")
READY = {
    "/county/": "document.body.dataset.map === 'ready' && document.querySelector('tbody tr')",
    "/numbers/": "document.readyState === 'complete' && document.querySelector('svg')",
}
"""Address → what is true once it is ready: the map is drawn and the list is there; the plots."""
LOOK_MS = 20
PATIENCE_S = 120
FIRST_BYTE = "performance.getEntriesByType('navigation')[0].responseStart"
ASKED = "performance.getEntriesByType('resource').map((one) => one.transferSize)"


def county_measured(browser: "Browser", store: str, opens: int) -> dict[str, Any]:
    """Return how soon pages are ready for staff of one county and of all.

    Parameters
    ----------
    browser
        Each sign-in has a window of its own, whose cache is empty at first.
    store
        As ``bench store --keep`` left it, by its SQLAlchemy URL.
    opens
        How often each page is opened.
    """
    from registry.services.bench_load import PASSWORD, SIGN_IN, SIGN_IN_OF_ONE, let_in
    from registry.services.bench_store import ON
    from registry.wiring import assemble

    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        with closing(assemble(store, folder=folder).store) as opened:
            counties = let_in(opened)
        told: dict[str, Any] = {"counties": counties, "opens": opens}
        with served(store, folder, "--on", ON.isoformat()) as url:
            for who, name in (("one_county", SIGN_IN_OF_ONE), ("all_counties", SIGN_IN)):
                say(f"Opening pages as staff of {who.replace('_', ' ')}.")
                context = browser.new_context(base_url=url, viewport={"width": 1280, "height": 900})
                page = context.new_page()
                page.goto("/sign-in")
                page.fill("#username", name)
                page.fill("#password", PASSWORD)
                page.click("button[type=submit]")
                told[who] = {path.strip("/"): _opened(page, path, opens) for path in PAGES}
                context.close()
    return told


def _opened(page: "Page", path: str, opens: int) -> dict[str, Any]:
    took_s, first_byte_ms = [], []
    for _ in range(opens):
        page.goto("about:blank")
        began = time.perf_counter()
        page.goto(path, wait_until="domcontentloaded")
        page.evaluate("document.getElementById('map')?.scrollIntoView()")
        while not page.evaluate(f"Boolean({READY[path]})"):
            if time.perf_counter() - began > PATIENCE_S:
                raise ConfigError(f"{path} does not get ready within {PATIENCE_S} seconds.")
            page.wait_for_timeout(LOOK_MS)
        took_s.append(time.perf_counter() - began)
        first_byte_ms.append(page.evaluate(FIRST_BYTE))
    again = took_s[1:] or took_s
    return {
        "first_s": round(took_s[0], 2),
        "ready_s": round(sorted(again)[len(again) // 2], 2),
        "most_s": round(max(took_s), 2),
        "first_byte_ms": spread_of(first_byte_ms),
        "requests": len(page.evaluate(ASKED)) + 1,
    }
