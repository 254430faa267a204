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

    A role and width keep one page for all tests of a process, since signing in is slow by design.
    At the end every request must have gone to the server.
    """
    from tests.browser import watched_context

    made: dict[tuple[str, int], Visit] = {}
    with ExitStack() as stack:

        def visited(role: str, width: int = WIDE) -> Visit:
            if (role, width) not in made:
                size = {"width": width, "height": 900 if width == WIDE else 780}
                context = stack.enter_context(
                    watched_context(browser, shared_server.url, viewport=size)
                )
                made[role, width] = Visit(context.new_page())
                if role:
                    made[role, width].sign_in(role, demo_as_made.password(role))
            return made[role, width]

        yield visited
