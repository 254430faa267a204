"""Your sign-in: another password, one-time codes, ending sessions; whoever is signed in."""

from flask import Blueprint, abort, flash, g, redirect, render_template, request, url_for
from flask_security import login_user
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import AccessError, RangeError
from registry.services import one_time_codes, users
from web.access import needs, viewer
from web.context import parts, reading, writing
from web.datastore import User
from web.draw.qr import qr_svg

pages = Blueprint("own_sign_in", __name__, url_prefix="/own")
ACT = "change the own sign-in"


@pages.get("/")
@needs(ACT)
def show() -> str:
    """Show what can be changed."""
    return _page()


@pages.post("/password")
@needs(ACT)
def change_password() -> AnyResponse:
    """Take another password."""
    _ask_password()
    new = request.form.get("new", "")
    if new != request.form.get("again", ""):
        raise RangeError("The new password was not typed the same twice. Nothing was changed.")
    with writing() as session:
        users.change_password(session, viewer().name, new)
    return _stay("Your password is changed. You are signed out everywhere else.")


@pages.post("/end")
@needs(ACT)
def end() -> AnyResponse:
    """End all other sessions; phones stay paired."""
    with writing() as session:
        users.end_own_sessions(session, viewer())
    return _stay("You are signed out everywhere else. Paired phones stay signed in.")


@pages.post("/codes")
@needs(ACT)
def offer_codes() -> str:
    """Show a new key; it counts once a code of it was typed."""
    key = one_time_codes.new_key()
    address = one_time_codes.key_address(key, viewer().name)
    return _page(offered={"key": key, "address": address, "qr": qr_svg(address)})


@pages.post("/codes/on")
@needs(ACT)
def turn_on() -> str:
    """Use one-time codes from now on, and show the recovery codes this once."""
    _ask_password()
    key, code = request.form.get("key", ""), request.form.get("code", "")
    with writing() as session:
        made = one_time_codes.turn_on(session, viewer().name, key, code, parts().now())
    _enter_again()
    return _page(recovery=made)


@pages.post("/codes/off")
@needs(ACT)
def turn_off() -> AnyResponse:
    """Enter without codes again."""
    _ask_password()
    with writing() as session:
        one_time_codes.turn_off(session, viewer().name)
    return _stay("Your sign-in uses no codes any more. You are signed out everywhere else.")


def _page(**more: object) -> str:
    with reading() as session:
        found = users.sign_in_named(session, viewer().name)
        left = one_time_codes.recovery_left(session, viewer().user_id)
    if found is None:
        abort(404)
    return render_template(
        "own_sign_in.html",
        has_password=bool(found.password_hash),
        has_codes=bool(found.code_key),
        left=left,
        least=users.LEAST_LETTERS,
        **more,
    )


def _ask_password() -> None:
    """Go on only with the password of today; wrong ones count like those of the sign-in page."""
    name, now = viewer().name, parts().now()
    subjects = [f"name:{name.lower()[:200]}", f"address:{request.remote_addr}"]
    with writing() as session:
        taken = users.take_try(session, subjects, now)
    if not taken:
        g.wait_s = round(users.WAIT.total_seconds())
        abort(429)
    with reading() as session:
        found = users.sign_in_named(session, name)
    if found is None or not users.is_password(found, request.form.get("password", "")):
        raise AccessError("The present password is not right. Nothing was changed.")
    with writing() as session:
        users.take_back_try(session, subjects, now)


def _stay(said: str) -> AnyResponse:
    _enter_again()
    flash(said)
    return redirect(url_for("own_sign_in.show"))


def _enter_again() -> None:
    """Keep this browser signed in: all sessions of the sign-in have just ended."""
    with reading() as session:
        found = users.sign_in_named(session, viewer().name)
    if found is not None and found.active:
        login_user(
            User(found.viewer, found.password_hash, found.session_key, active=found.active),
            authn_via=["password"],
        )
