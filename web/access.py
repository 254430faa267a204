"""Sign-in and rights: who is asking, what their role may do, how often they may guess."""

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Any, cast

from flask import Flask, Response, abort, current_app, g, redirect, request, url_for
from flask_security import LoginForm, Security, current_user
from wtforms import StringField
from wtforms.validators import Optional

from registry.privacy import may
from registry.records.changes import Viewer
from registry.services import one_time_codes, users
from web.context import parts, writing
from web.datastore import RegistryUsers

WRONG = "The name, the password or the code is not right."
"""What everybody is told who may not enter, whatever was wrong."""


class SignInForm(LoginForm):
    """Name, password, and a one-time code for those who use one; the name is not an address.

    The code stands in the same form, so that nobody learns whether a password was right, or who
    uses codes.
    """

    email = StringField("unused", validators=[Optional()])
    username = StringField("Name")
    code = StringField("Code")
    remember = None  # a session ends with the browser

    def validate(self, **kwargs: Any) -> bool:  # noqa: ANN401 - Flask-Security's signature
        """Find the user by name, let Flask-Security check the password, then look at the code."""
        name = (self.username.data or "").strip()
        self.ifield = self.username
        if len(self.password.data or "") > users.MOST_LETTERS:
            self.password.data = ""  # nobody's; the hash takes none of any length
        self.user = current_app.extensions["security"].datastore.find_user(username=name)
        if not super().validate(**kwargs):
            return False
        with writing() as session:
            found = users.sign_in_named(session, name)
            right = found and one_time_codes.passes(
                session, found, self.code.data or "", parts().now()
            )
        if not right:
            self.password.errors.append("not right")  # its words are replaced by the generic ones
        return bool(right)


def install(app: Flask) -> None:
    """Set Flask-Security up: argon2, our own page, nothing that mails or registers."""
    app.config.update(
        SECURITY_PASSWORD_HASH="argon2",  # noqa: S106 - the name of a method, not a password
        SECURITY_PASSWORD_SINGLE_HASH=["argon2"],
        SECURITY_PASSWORD_SALT=app.config["SECRET_KEY"],
        SECURITY_USER_IDENTITY_ATTRIBUTES=[{"username": {"mapper": str.strip}}],
        SECURITY_LOGIN_URL="/sign-in",
        SECURITY_LOGOUT_URL="/sign-out",
        SECURITY_LOGOUT_METHODS=["POST"],
        SECURITY_POST_LOGIN_VIEW="/",
        SECURITY_POST_LOGOUT_VIEW="/sign-in",
        SECURITY_LOGIN_USER_TEMPLATE="sign_in.html",
        SECURITY_RETURN_GENERIC_RESPONSES=True,
        SECURITY_MSG_GENERIC_AUTHN_FAILED=(WRONG, "error"),
        SECURITY_SEND_REGISTER_EMAIL=False,
        SECURITY_CHANGEABLE=False,
        SECURITY_RECOVERABLE=False,
        SECURITY_REGISTERABLE=False,
        SECURITY_TRACKABLE=False,
        SECURITY_FRESHNESS=timedelta(minutes=-1),  # no second page that asks for the password
        SECURITY_FLASH_MESSAGES=False,
        SECURITY_CACHE_CONTROL={},  # web/headers.py says it for every page
        SECURITY_CSRF_PROTECT_MECHANISMS=[],
        WTF_CSRF_ENABLED=False,  # writes are refused by origin, see web/headers.py
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_NAME="riserway",
        REMEMBER_COOKIE_SAMESITE="Lax",
        REMEMBER_COOKIE_HTTPONLY=True,
        SECURITY_DEFAULT_REMEMBER_ME=False,
    )
    Security(app, RegistryUsers(), login_form=SignInForm)
    app.before_request(_slow_down)
    app.after_request(_forget_try)


def signed_in() -> bool:
    """Tell whether somebody is signed in."""
    return bool(current_user.is_authenticated)


def viewer() -> Viewer:
    """Return who is asking."""
    return cast("Viewer", current_user.viewer)


def needs[F: Callable[..., Any]](act: str) -> Callable[[F], F]:
    """Let only roles see a page that may do an act of ``registry.privacy.ACTS``."""

    def decorate(view: F) -> F:
        @wraps(view)
        def guarded(*args: Any, **kwargs: Any) -> Any:  # noqa: ANN401 - any view
            if not signed_in():
                return redirect(url_for("security.login", next=request.full_path.rstrip("?")))
            if not may(viewer(), act):
                abort(403)
            return view(*args, **kwargs)

        return cast("F", guarded)

    return decorate


def _is_try() -> bool:
    return request.endpoint == "security.login" and request.method == "POST"


def _subjects() -> list[str]:
    name = request.form.get("username", "").strip().lower()[:200]
    return [f"name:{name}", f"address:{request.remote_addr}"]


def _slow_down() -> None:
    if not _is_try() or signed_in():
        return  # who is signed in already is sent on, and no password is looked at
    if request.is_json:
        abort(415)  # our page sends a form; the count of tries goes by its fields
    g.tried_at = parts().now()
    with writing() as session:
        taken = users.take_try(session, _subjects(), g.tried_at)
    if not taken:
        g.waits = True
        abort(429)


def _forget_try(answer: Response) -> Response:
    if "tried_at" in g and not g.get("waits") and signed_in():
        with writing() as session:
            users.take_back_try(session, _subjects(), g.tried_at)
    return answer
