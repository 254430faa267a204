"""Sign-ins as the administrator sees them: who there is, and ending somebody's sessions."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.services import users
from web import present
from web.access import needs, viewer
from web.context import parts, reading, writing

pages = Blueprint("sign_ins", __name__, url_prefix="/sign-ins")


@pages.get("/")
@needs("manage sign-ins")
def show() -> str:
    """List all sign-ins."""
    with reading() as session:
        found = users.sign_ins_of(session, viewer())
    return render_template("sign_ins.html", sign_ins=found, present=present)


@pages.post("/end")
@needs("manage sign-ins")
def end() -> AnyResponse:
    """End every session of a sign-in, on computers and phones."""
    name = request.form.get("name", "")
    with writing() as session:
        users.end_sessions_for(session, viewer(), name, parts().now())
    flash(
        f"{name} is signed out everywhere. Its phones destroy what they carry when next in touch."
    )
    return redirect(url_for("sign_ins.show"))
