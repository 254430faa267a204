"""From an error's class to a status and a page in plain words."""

import logging
import secrets

from flask import Flask, Response, jsonify, render_template, request
from werkzeug.exceptions import HTTPException

from registry import errors

STATUS: dict[type[errors.RegistryError], int] = {
    errors.FileError: 422,
    errors.RowError: 422,
    errors.RangeError: 422,
    errors.DatumError: 422,
    errors.NotFoundError: 404,
    errors.AccessError: 403,
    errors.LimitError: 429,
    errors.ConflictError: 409,
    errors.RoadError: 503,
    errors.PlanError: 422,
    errors.SignInError: 503,
    errors.StoreError: 503,
    errors.ConfigError: 500,
    errors.RegistryError: 422,
}
"""Class → status; docs/errors.md has the same table."""

TITLES = {
    400: "That request could not be read",
    401: "Sign in first",
    403: "Not for this sign-in",
    404: "Not found",
    405: "Not possible here",
    409: "Somebody was quicker",
    413: "Too large",
    415: "Not possible here",
    422: "That cannot be done as asked",
    429: "Too many tries",
    500: "This is our fault",
    503: "Not available just now",
}

PLAIN = {
    400: "The request was not complete. Go back and try again.",
    403: "Your sign-in may not see or do this. Ask the administrator of your registry.",
    404: "There is nothing at this address, or it is not for your sign-in.",
    405: "This address does not take that kind of request.",
    413: "What was sent is larger than this server takes.",
    415: "This address does not take that kind of request.",
    429: "There were too many failed tries. Wait a quarter of an hour, then try again.",
}

type Answer = tuple[str, int]


def install(app: Flask) -> None:
    """Register one handler for our errors, one for HTTP's and a last one for the rest."""
    app.register_error_handler(errors.RegistryError, _ours)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _fault)


def status_of(kind: type[errors.RegistryError]) -> int:
    """Return the status of an error class, that of its nearest parent if it is not named."""
    return next(STATUS[one] for one in kind.__mro__ if one in STATUS)


def _page(status: int, text: str) -> Answer:
    title = TITLES.get(status, "That did not work")
    return render_template("error.html", title=title, text=text, status=status), status


def _ours(error: errors.RegistryError) -> Answer | tuple[Response, int]:
    status = status_of(type(error))
    if request.is_json:
        return jsonify(complaints=str(error).splitlines()), status
    return _page(status, str(error))


def _http(error: HTTPException) -> Answer | HTTPException:
    if error.code is None or error.code < 400:
        return error
    return _page(error.code, PLAIN.get(error.code, "That did not work. Go back and try again."))


def _fault(_error: Exception) -> Answer:
    fault = secrets.token_hex(4)
    logging.getLogger("riserway").exception("fault %s", fault)
    return _page(
        500, f"This is our fault, not yours. Tell us the error id {fault}; it is in the log."
    )
