"""Every request is counted, timed and told to the log."""

import logging
import time
from typing import cast

from flask import Flask, Response, current_app, g, request

from web.measured import Measured

MEASURED = "riserway_measured"
NOWHERE = "none"
"""The route of a request whose address no page has."""
LOG = logging.getLogger("riserway.requests")


def install(app: Flask) -> None:
    """Begin to count; first of all that looks at requests, so that it sees each whole."""
    app.extensions[MEASURED] = Measured()
    app.before_request(_begin)
    app.after_request(_answered)
    app.teardown_request(_over)


def measured() -> Measured:
    """Return the counts of this process."""
    return cast("Measured", current_app.extensions[MEASURED])


def _begin() -> None:
    g.begun_s = time.perf_counter()
    measured().begun()


def _answered(answer: Response) -> Response:
    taken_s = time.perf_counter() - g.begun_s
    route = request.url_rule.rule if request.url_rule else NOWHERE
    measured().answered(request.method, route, answer.status_code, taken_s)
    told = {"method": request.method, "route": route, "status": answer.status_code}
    LOG.info("request", extra={"told": told | {"ms": round(taken_s * 1000, 1)}})
    return answer


def _over(_wrong: BaseException | None) -> None:
    if "begun_s" in g:
        measured().over()
