"""Signing in by a county's own sign-in: away to its page, and back with a code."""

import hmac
import secrets

from flask import Blueprint, abort, current_app, redirect, request, session, url_for
from flask_security import login_user
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import AccessError, LimitError
from registry.services import users
from web.access import signed_in
from web.context import parts, reading, writing
from web.datastore import User
from web.issuer import NOT_TRUSTED, Begun, Issuer

pages = Blueprint("county_sign_in", __name__, url_prefix="/sign-in/county")
KEPT = "county_sign_in"
"""Where the session keeps what was begun."""
ISSUER = "county_issuer"
"""Where the app keeps the county's own sign-in, None where none is set up."""


@pages.get("/")
def begin() -> AnyResponse:
    """Send the browser to the county's page."""
    issuer = _issuer()
    if signed_in():
        return redirect(url_for("start"))
    begun = [secrets.token_urlsafe(32) for _ in range(3)]
    _take_try()
    address = issuer.way_in(Begun(*begun), _back_to())
    session[KEPT] = begun
    return redirect(address)


@pages.get("/back")
def back() -> AnyResponse:
    """Let in whom the county's page sent back, if they have a sign-in of county staff here."""
    issuer = _issuer()
    kept = session.pop(KEPT, None)
    if not kept or not hmac.compare_digest(
        kept[0].encode(), request.args.get("state", "").encode()
    ):
        raise AccessError(NOT_TRUSTED)
    code = request.args.get("code", "")
    if not code:
        raise AccessError("Your county's sign-in did not let you in. Nothing was changed here.")
    address = issuer.who(code, Begun(*kept), _back_to(), parts().now())
    with reading() as opened:
        found = users.county_staff_named(opened, address, issuer.setting.jurisdictions)
    if found is None:
        raise AccessError(
            "Your county let you in, but no sign-in of county staff here has your e-mail address "
            "as its name. Ask the administrator of your registry for one."
        )
    login_user(User(found.viewer, found.password_hash, found.session_key, active=found.active))
    return redirect(url_for("start"))


def _issuer() -> Issuer:
    found = current_app.extensions.get(ISSUER)
    if not isinstance(found, Issuer):
        abort(404)
    return found


def _take_try() -> None:
    """Count a beginning as a try: nobody makes this server ask another one without end."""
    with writing() as opened:
        taken = users.take_try(opened, [f"address:{request.remote_addr}"], parts().now())
    if not taken:
        raise LimitError(
            "There were too many tries from your address. Wait a quarter of an hour.", wait_s=900
        )


def _back_to() -> str:
    return url_for("county_sign_in.back", _external=True)
