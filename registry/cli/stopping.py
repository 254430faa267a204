"""A search that Ctrl-C or a polite end of the process stops, with the best plan found so far."""

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from registry.cli.options import say

HEARD = (signal.SIGINT, signal.SIGTERM)


@contextmanager
def stopping() -> Iterator[Callable[[], bool]]:
    """Yield what says whether the search is to stop: after the first SIGINT or SIGTERM.

    A second one ends the program at once, as without this. Signals reach the main thread only.
    """
    asked = False

    def hear(_number: int, _frame: FrameType | None) -> None:
        nonlocal asked
        asked = True
        put_back()
        say("Stopping: the best plan found so far is kept. Once more ends without it.")

    def put_back() -> None:
        for one, handler in before.items():
            signal.signal(one, handler)

    before = {one: signal.signal(one, hear) for one in HEARD}
    try:
        yield lambda: asked
    finally:
        put_back()
