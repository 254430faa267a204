"""A paired phone at the door: entering by its own secret, told to wipe once it is signed out."""

from typing import cast

from flask import Flask, Request, Response, current_app, g, render_template, request
from flask_security import logout_user

from registry.services.phones import (
    SESSION_LIFE,
    PhoneAtDoor,
    note_seen,
    phone_at_door,
    sign_itself_out,
)
from web import access
from web.context import parts, reading, writing
from web.datastore import User

COOKIE = "riserway_phone"
"""Holds the phone's secret, out of reach of scripts."""
WIPE = "Riserway-Wipe"
"""The header, ``yes``, that tells the pages on a phone to destroy key, carried day and outbox."""
OPEN = ("/static/", "/library/", "/pair", "/phones/wiped", "/sw.js")
"""What a phone that is signed out still gets."""


def install(app: Flask) -> None:
    """Look at every request's phone, before the pages and after them."""
    app.before_request(_look)
    app.after_request(_tell)
    app.login_manager.request_loader(_user_of_phone)  # type: ignore[attr-defined]  # Flask-Login's


def phone_here() -> PhoneAtDoor | None:
    """Return the phone that this request comes from, None if it is not a paired one."""
    if "phone" not in g:
        secret = request.cookies.get(COOKIE, "")
        g.phone = None
        if secret and not request.path.startswith(("/static/", "/library/")):
            with reading() as session:
                g.phone = phone_at_door(session, secret, parts().now())
    return cast("PhoneAtDoor | None", g.phone)


def hand_over(answer: Response, secret: str) -> None:
    """Give a phone its secret, for as long as it may stay away."""
    answer.set_cookie(
        COOKIE,
        secret,
        max_age=SESSION_LIFE,
        httponly=True,
        samesite="Lax",
        secure=bool(current_app.config["SESSION_COOKIE_SECURE"]),
    )


def tell_to_wipe(answer: Response) -> None:
    """Tell pages and browser alike to destroy what is kept on the phone.

    Clear-Site-Data (W3C) works where none of our scripts runs any more; browsers heed it on https
    and on the own machine only.
    """
    answer.headers[WIPE] = "yes"
    answer.headers["Clear-Site-Data"] = '"storage"'


def _look() -> tuple[str, int] | None:
    here = phone_here()
    if here is None:
        return None
    if here.stale:
        with writing() as session:
            note_seen(session, here.phone, parts().now())
    if not here.must_wipe or request.path.startswith(OPEN):
        return None
    if access.signed_in():
        logout_user()  # whoever signed in with a password on a phone that is lost
    return render_template("phone_signed_out.html"), 401


def _user_of_phone(_request: Request) -> User | None:
    here = phone_here()
    found = here.sign_in if here else None
    if found is None:
        return None
    return User(found.viewer, found.password_hash, found.session_key, active=found.active)


def _tell(answer: Response) -> Response:
    here = phone_here()
    if here is None:
        return answer
    if here.must_wipe:
        tell_to_wipe(answer)
    elif request.endpoint == "security.logout" and request.method == "POST":
        with writing() as session:
            sign_itself_out(session, here.phone, parts().now())
        tell_to_wipe(answer)
    elif here.stale and here.sign_in and not _gives_cookie(answer):
        hand_over(answer, request.cookies[COOKIE])
    return answer


def _gives_cookie(answer: Response) -> bool:
    return any(one.startswith(f"{COOKIE}=") for one in answer.headers.getlist("Set-Cookie"))
