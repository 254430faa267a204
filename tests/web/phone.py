"""A technician's phone in tests: its profile stays, the server comes and goes."""

import os
import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from tests.browser import FLAGS, program
from tests.server import served
from tests.web.visit import PATIENCE_S, PHONE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

    from tests.demo import Demo

OUTBOX = """await import(
  document.querySelector('script[src*="carry-status"]').src.replace('carry-status', 'outbox'))"""
"""The outbox as the page itself holds it."""
READY = "document.querySelector('#record.has-script') !== null"


class Office:
    """The server of a county, at one address, now there and now gone."""

    def __init__(self, demo: "Demo", *options: str) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"
        self.demo = demo
        self.options = options
        self.running = ExitStack()

    def start(self, pages: Path | None = None) -> None:
        """Start; ``pages`` is a folder that holds another edition of the package ``web``."""
        before = os.environ.get("PYTHONPATH")
        if pages is not None:
            os.environ["PYTHONPATH"] = str(pages)
        try:
            options = (*self.options, "--port", str(self.port))
            self.running.enter_context(served(self.demo.store_url, self.demo.folder, *options))
        finally:
            if before is None:
                os.environ.pop("PYTHONPATH", None)
            else:
                os.environ["PYTHONPATH"] = before

    def stop(self) -> None:
        """Stop: from now on nobody answers."""
        self.running.close()

    def rows(self, question: str, **given: str) -> list[Any]:
        """Ask the store, as it is on the disk."""
        from sqlalchemy import text

        from registry.store import open_store

        store = open_store(self.demo.store_url)
        try:
            with store.reading() as session:
                return [tuple(row) for row in session.execute(text(question), given)]
        finally:
            store.close()


class Phone(Visit):
    """The browser of a phone, with what is kept in its profile."""

    def __init__(self, context: "BrowserContext", office: Office) -> None:
        super().__init__(context.pages[0])
        self.context = context
        self.office = office
        self.strangers: list[str] = []
        context.on("request", self._saw)

    def _saw(self, request: Any) -> None:
        parts = urlsplit(request.url)
        if parts.scheme.startswith("http") and parts.port != self.office.port:
            self.strangers.append(request.url)

    def technician(self) -> None:
        """Sign the technician in."""
        self.sign_in("technician", self.office.demo.password("technician"))

    def take_along(self) -> None:
        """Press the button on the own Day page, and wait until all is aboard."""
        self.page.goto("/day/")
        self.until("document.getElementById('carry')?.hidden === false")
        self.page.click("#carry-take")
        self.until("document.getElementById('carry').dataset.aboard !== ''")

    def stops(self) -> list[int]:
        """The sites that remain, in the technician's own order."""
        self.until("document.querySelector('#own-order')?.hidden === false")
        rows = self.page.locator("#own-order li").all()
        return [int(one.get_attribute("data-site") or 0) for one in rows]

    def asked(self, body: str, *given: Any, tab: "Page | None" = None) -> Any:
        """Run a function's body in the page, with the outbox at hand as ``outbox``."""
        if tab is None:
            self.until("document.querySelector('script[src*=\"carry-status\"]') !== null")
        said = f"async (given) => {{ const outbox = {OUTBOX}; {body} }}"
        return (tab or self.page).evaluate(said, list(given))

    def waiting(self) -> int:
        """How many things wait on this phone."""
        count: int = self.asked("return (await outbox.waiting()).count;")
        return count

    def until_waiting(self, count: int) -> None:
        """Wait until so many things wait; the page's own sending does it."""
        give_up = time.monotonic() + PATIENCE_S
        while (waiting := self.waiting()) != count:
            assert time.monotonic() < give_up, f"{waiting} wait"
            self.page.wait_for_timeout(100)

    def open_record(self, site_id: int, on: str) -> None:
        """Open the form of a visit."""
        self.page.goto(f"/gate/{site_id}/{on}/record")
        self.until(READY)

    def not_reached(self, why: str) -> None:
        """End the visit of the open form as not reached."""
        self.page.evaluate("document.querySelector('.other-ending').open = true")
        self.page.fill("#left_open", why)
        self.page.click('button[value="not reached"]')

    def line(self) -> str:
        """What the page says of what waits, '' where it says nothing."""
        return self.page.locator(".waiting-line").text_content() or ""


@contextmanager
def phone_of(browser: "Browser", office: Office, profile: Path) -> Iterator[Phone]:
    """Yield a phone; the same profile again is the same phone, started again."""
    context = browser.browser_type.launch_persistent_context(
        profile,
        executable_path=program(),
        args=list(FLAGS),
        base_url=office.url,
        viewport={"width": PHONE, "height": 780},
        locale="en-US",
        timezone_id="America/Chicago",
    )
    phone = Phone(context, office)
    try:
        yield phone
    finally:
        context.close()
    assert not phone.strangers, f"The page asked other hosts: {phone.strangers}"
