"""What tests ask of a page in a real browser."""

import io
import time
from typing import TYPE_CHECKING

from registry.services.make_demo import county_today
from tests.browser import violations, wcag_violations

if TYPE_CHECKING:
    from playwright.sync_api import ConsoleMessage, Page
    from pypdf import PdfReader

WIDE, PHONE = 1280, 360
DAY = county_today().isoformat()
PATIENCE_S = 30
LONGEST_PAUSE_MS = 100
QUIET = ("GPU stall", "status of 403", "status of 404", "status of 422")
"""What the browser says of our own error pages, and of drawing without a graphics card."""


class Visit:
    """One browser page with what it complained of."""

    def __init__(self, page: "Page") -> None:
        self.page = page
        self.complaints: list[str] = []
        page.on("console", self._heard)
        page.on("pageerror", lambda wrong: self.complaints.append(str(wrong)))

    def _heard(self, message: "ConsoleMessage") -> None:
        if message.type in {"error", "warning"} and not any(one in message.text for one in QUIET):
            self.complaints.append(message.text)

    def sign_in(self, name: str, password: str) -> None:
        """Fill in and send the sign-in page."""
        self.page.goto("/sign-in")
        self.page.fill("#username", name)
        self.page.fill("#password", password)
        self.page.click("button[type=submit]")
        assert "/sign-in" not in self.page.url

    def opened(self, path: str) -> "Page":
        """Go to an address; what was complained of before is forgotten."""
        self.complaints.clear()
        self.page.goto(path)
        return self.page

    def map_opened(self, path: str) -> "Page":
        """Go to a page with a map, come near it, and wait until it is drawn."""
        page = self.opened(path)
        self.near_the_map()
        return page

    def near_the_map(self) -> None:
        """Scroll to the map and wait until it is drawn."""
        self.page.evaluate("document.getElementById('map').scrollIntoView()")
        self.until("document.body.dataset.map === 'ready'")

    def until(self, said: str, patience_s: float = PATIENCE_S) -> None:
        """Ask the page again and again until an expression is true.

        Playwright's own waiting evaluates text as code, which the pages' policy forbids.
        """
        give_up = time.monotonic() + patience_s
        while not self.page.evaluate(said):
            assert time.monotonic() < give_up, f"never true: {said}"
            self.page.wait_for_timeout(LONGEST_PAUSE_MS)

    def sideways(self) -> int:
        """How far the page can be scrolled sideways. [px]."""
        far: int = self.page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        return far

    def unfold(self) -> None:
        """Open whatever is folded."""
        self.page.evaluate("document.querySelectorAll('details').forEach((one) => one.open = true)")

    def wcag(self) -> list[str]:
        """What axe-core finds against WCAG 2.2 A and AA."""
        return wcag_violations(self.page)

    def axe(self, *rules: str) -> list[str]:
        """What axe-core finds against rules of its own names."""
        found = violations(self.page, "rule", rules)
        return [node["html"] for one in found for node in one["nodes"]]

    def printed(self, paper: str = "Letter") -> "PdfReader":
        """Print the page into a PDF."""
        from pypdf import PdfReader

        return PdfReader(io.BytesIO(self.page.pdf(format=paper, prefer_css_page_size=False)))
