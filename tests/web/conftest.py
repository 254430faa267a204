"""Pages of the shared server as each role sees them, wide and on a phone, held to one host."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import TYPE_CHECKING

import pytest

from tests.web.visit import PHONE, WIDE, Visit

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tests.demo import Demo
    from tests.server import Server

__all__ = ["PHONE", "WIDE"]


@pytest.fixture(scope="session")
def visit(
    browser: "Browser", shared_server: "Server", demo_as_made: "Demo"
) -> "Iterator[Callable[..., Visit]]":
    """Return a page on which a role is signed in: ``visit("county", PHONE)``; "" = nobody.

    A role keeps one page for all tests of a process, since signing in is slow by design; it is made
    as wide as it is asked for. At the end every request must have gone to the server.
    """
    from tests.browser import watched_context

    made: dict[str, Visit] = {}
    with ExitStack() as stack:

        def visited(role: str, width: int = WIDE) -> Visit:
            if role not in made:
                context = stack.enter_context(watched_context(browser, shared_server.url))
                made[role] = Visit(context.new_page())
                if role:
                    made[role].sign_in(role, demo_as_made.password(role))
            height = 900 if width == WIDE else 780
            made[role].page.set_viewport_size({"width": width, "height": height})
            return made[role]

        yield visited
