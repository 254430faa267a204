"""Errors of the API as problem documents (RFC 9457), for programs; also the OGC's own members."""

import json

from flask import Response

from registry.errors import RangeError, RegistryError
from web.errors import PLAIN, TITLES, status_of

PROBLEM = "application/problem+json"
REALM = 'Basic realm="Riserway features", charset="UTF-8"'
CODES = {
    400: "InvalidParameterValue",
    401: "SignInNeeded",
    403: "NotAllowed",
    404: "NotFound",
    429: "TooManyTries",
}


def problem(status: int, text: str) -> Response:
    """Return an answer that says what is wrong; ``code`` and ``description`` are the OGC's."""
    title = TITLES.get(status, "That did not work")
    answer = Response(
        json.dumps(
            {
                "type": "about:blank",
                "title": title,
                "status": status,
                "detail": text,
                "code": CODES.get(status, "NoApplicableCode"),
                "description": text,
            },
            ensure_ascii=False,
        ),
        status=status,
        content_type=PROBLEM,
    )
    if status == 401:
        answer.headers["WWW-Authenticate"] = REALM
    return answer


def of_error(error: RegistryError) -> Response:
    """Return what an error of ours tells; what an address asks wrongly is 400 here."""
    status = 400 if isinstance(error, RangeError) else status_of(type(error))
    return problem(status, str(error))


def of_status(status: int) -> Response:
    """Return what an HTTP error tells."""
    return problem(status, PLAIN.get(status, "That did not work."))
