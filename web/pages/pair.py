"""On the phone: the code of a pairing address is looked up, confirmed and used once."""

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.services import users
from registry.services.pair_phone import pair, pairing_for
from registry.services.phones import note_wiped
from web.context import parts, reading, writing
from web.phone_door import hand_over, phone_here, tell_to_wipe

pages = Blueprint("pair", __name__, url_prefix="/pair")

NO_GOOD = (
    "This code is not right, was used already or is older than ten minutes. Ask the office for a "
    "new one."
)


@pages.get("/")
def show() -> str:
    """Show the field for a code; a script fills it from the address and sends it."""
    return render_template("pair.html", complaints=[])


@pages.post("/confirm")
def confirm() -> str | tuple[str, int]:
    """Say for whom the phone will be, and ask."""
    code = _code()
    with reading() as session:
        pairing = pairing_for(session, code, parts().now())
    if pairing is None:
        return _refused()
    here = phone_here()
    return render_template("pair_confirm.html", pairing=pairing, code=code, here=here)


@pages.post("/")
def use() -> AnyResponse | tuple[str, int]:
    """Pair the phone and go to its first page."""
    code, here, now = _code(), phone_here(), parts().now()
    with writing() as session:
        paired = pair(session, code, here.phone if here else None, now)
        wiped = paired is not None and (
            paired.replaced is not None or bool(here and here.must_wipe)
        )
        if here and wiped:
            note_wiped(session, here.phone, now)
    if paired is None:
        return _refused()
    answer = redirect(url_for("start"), 303)
    hand_over(answer, paired.secret)  # type: ignore[arg-type]  # werkzeug's base class
    if wiped:
        tell_to_wipe(answer)  # type: ignore[arg-type]
    return answer


def _code() -> str:
    """Return the code of the form; who guessed too often must wait."""
    with reading() as session:
        if users.must_wait(session, _subjects(), parts().now()):
            abort(429)
    return request.form.get("code", "")[:100]


def _refused() -> tuple[str, int]:
    with writing() as session:
        users.note_failed_try(session, _subjects(), parts().now())
    return render_template("pair.html", complaints=[NO_GOOD]), 422


def _subjects() -> list[str]:
    return [f"pairing:{request.remote_addr}"]
