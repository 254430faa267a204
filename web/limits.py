"""Requests that write or that cost: each kind has a limit for each sign-in."""

import threading
from collections import defaultdict

from flask import Flask, Response, g, request

from registry.errors import LimitError
from registry.services.request_limits import LIMITS, count_requests
from web.access import signed_in, viewer
from web.context import parts, writing
from web.headers import SAFE

KINDS = {
    "record.take_records": "records",
    "record.keep": "records",
    "photos.take": "photos",
    "day_edit.try_change": "tries",
    "day_edit.places": "tries",
    "day.order": "plans",
    "day_run.order_again": "plans",
    "day_run.ask_what_if": "questions",
    "day_run.why": "questions",
    "closed_roads.close": "closures",
    "closed_roads.lift": "closures",
}
"""Endpoint → kind of request; whatever else writes is of the kind “forms”."""

NOT_COUNTED = ("security.login", "security.logout")
"""Signing in has a limit of its own, and everybody may sign out."""


class Pending:
    """Requests of this process that the store has not counted yet, by sign-in and kind."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._waiting: defaultdict[tuple[int, str], int] = defaultdict(int)

    def take(self, user_id: int, kind: str) -> int:
        """Add one, and return how many are to be counted now: a whole step, or none yet."""
        with self._lock:
            self._waiting[user_id, kind] += 1
            if self._waiting[user_id, kind] < LIMITS[kind].step:
                return 0
            return self._waiting.pop((user_id, kind))

    def give_back(self, user_id: int, kind: str, times: int) -> None:
        """Keep a step that was refused, less its last request: the next one is looked at again."""
        with self._lock:
            self._waiting[user_id, kind] += times - 1


def install(app: Flask) -> None:
    """Count requests before they are answered, and say when the next one is taken."""
    pending = Pending()

    def count() -> None:
        kind = _kind()
        if not kind or not signed_in():
            return
        user_id = viewer().user_id
        times = pending.take(user_id, kind)
        if not times:
            return
        try:
            with writing() as session:
                count_requests(session, user_id, kind, times, parts().now())
        except LimitError as reached:
            pending.give_back(user_id, kind, times)
            g.wait_s = reached.wait_s
            raise

    app.before_request(count)
    app.after_request(_say_when)


def _kind() -> str:
    endpoint = request.endpoint or ""
    if endpoint in KINDS:
        return KINDS[endpoint]
    counted = request.method not in SAFE and endpoint and endpoint not in NOT_COUNTED
    return "forms" if counted else ""


def _say_when(answer: Response) -> Response:
    if "wait_s" in g:
        answer.headers["Retry-After"] = str(g.wait_s)
    return answer
